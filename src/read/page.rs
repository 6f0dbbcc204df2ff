//! What every engine hands over: pages of lines, whatever the lines were read from.

use serde::{Deserialize, Serialize};

/// A page as one engine saw it, in reading order.
///
/// It crosses the pipe between the worker and the program, so it is plain data.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct Page {
    /// From 1.
    pub(super) number: u32,
    /// The lines that belong to the text.
    pub(super) lines: Vec<Line>,
    /// Lines that run in another direction than the text: stamps, notes in the margin.
    #[serde(default)]
    pub(super) aside: Vec<String>,
    /// What was counted while reading.
    #[serde(default)]
    pub(super) census: Census,
    /// Why the page is not whole, if it is not.
    #[serde(default)]
    pub(super) fault: Option<Fault>,
    /// The page as OCR saw it, where that is wanted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) picture: Option<Picture>,
}

/// The picture of a page.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct Picture {
    pub(super) width: u32,
    pub(super) height: u32,
    /// A JPEG file.
    #[serde(with = "hex")]
    pub(super) jpeg: Vec<u8>,
}

/// Left, top, width and height of a word on the picture of its page.
pub(super) type Frame = [u16; 4];

/// What was seen on a page, for telling scans, hidden layers and damaged fonts.
#[derive(Clone, Copy, Debug, Default, Serialize, Deserialize)]
pub(super) struct Census {
    /// Characters that a reader of the paper sees.
    pub(super) visible: u32,
    /// Characters drawn invisibly, as OCR programs do over a scan.
    pub(super) invisible: u32,
    /// Characters that nobody sees for their ink, their size, a clip or what is drawn over them.
    #[serde(default)]
    pub(super) unseen: u32,
    /// Characters whose Unicode value the file does not tell.
    pub(super) unknown: u32,
    /// Characters placed outside the page.
    pub(super) outside: u32,
    /// Lines and shapes drawn.
    pub(super) paths: u32,
    /// Share of the page that the largest image covers, 0 to 1.
    pub(super) cover: f32,
    /// Resolution of that image in dots per inch, 0 where there is none.
    pub(super) dpi: f32,
    /// Whether the words were read by OCR, by this program or by the one that laid them invisibly
    /// over a picture.
    #[serde(default)]
    pub(super) ocr: bool,
    /// Whether a picture on the page breaks off or is damaged.
    #[serde(default)]
    pub(super) picture_cut: bool,
}

/// Why a page is not whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum Fault {
    /// The engine broke down on it.
    Broken,
    /// It took too long.
    TooLong,
    /// It holds more characters than the limit.
    TooMuch,
    /// It has more pixels than the limit.
    TooLarge,
    /// It is of a kind that is not known.
    Unknown,
    /// Its file or stream breaks off or is damaged; what stands before was read.
    Cut,
}

/// A line of a page.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct Line {
    /// The words as read, parted by single blanks.
    pub(super) text: String,
    /// The line as printed, from 1.
    pub(super) number: u32,
    /// Height of the line on the page, 0 at the top and 1 at the bottom; for plain text its rank
    /// among the lines of the page.
    pub(super) height: f32,
    /// How it hangs together with the line before.
    #[serde(default)]
    pub(super) joint: Joint,
    /// Whether it reaches the right edge of its column, so that the sentence may well go on.
    #[serde(default)]
    pub(super) full: bool,
    /// Words (by their rank in the line) that were read with less than full confidence.
    #[serde(default)]
    pub(super) weak: Vec<(u32, f32)>,
    /// Where each word stands on the picture of the page; empty where that is not known.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) frames: Vec<Frame>,
}

/// How a line hangs together with the line before it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum Joint {
    /// The next line of the same paragraph, as far as the spacing tells.
    #[default]
    Line,
    /// After a gap: a new paragraph.
    Gap,
    /// The first line of a page or column: only the words can tell.
    Break,
}

impl Page {
    /// The words of the page, one line each.
    pub(super) fn words(&self) -> String {
        let mut all = String::new();
        for line in &self.lines {
            all.push_str(&line.text);
            all.push('\n');
        }
        all
    }
}

/// Bytes as hexadecimal digits: a fraction of what JSON takes for a list of numbers.
mod hex {
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    pub(super) fn serialize<S: Serializer>(bytes: &[u8], to: S) -> Result<S::Ok, S::Error> {
        const DIGITS: &[u8; 16] = b"0123456789abcdef";
        let mut out = String::with_capacity(bytes.len() * 2);
        for byte in bytes {
            out.push(char::from(DIGITS[usize::from(byte >> 4)]));
            out.push(char::from(DIGITS[usize::from(byte & 15)]));
        }
        to.serialize_str(&out)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<u8>, D::Error> {
        let digits = String::deserialize(from)?;
        let value = |d: u8| {
            char::from(d)
                .to_digit(16)
                .and_then(|v| u8::try_from(v).ok())
        };
        digits
            .as_bytes()
            .chunks(2)
            .map(|pair| match pair {
                [high, low] => Some(value(*high)? << 4 | value(*low)?),
                _ => None,
            })
            .collect::<Option<Vec<u8>>>()
            .ok_or_else(|| D::Error::custom("no hexadecimal digits"))
    }
}
