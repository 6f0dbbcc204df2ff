//! Walks the codes of a JPEG picture (ITU-T T.81, annex F) without making pixels of them.
//!
//! Huffman codes find their way back soon behind damage, so a decoder shows what follows, only
//! elsewhere: lines of the letter are lost or shifted, and nothing says so. But then the blocks end
//! before the data does, or the data before the blocks.

/// So many bytes may stand between the last block and the next marker; makers of pictures leave none.
const LEFT_OVER: usize = 2;
/// Samples of 8 bits lie so far from the middle, times the 8 of the transform (T.81, A.3.3).
const FARTHEST: i32 = 1024;

/// Whether the data of the only scan are the blocks of the picture, all of them and nothing else;
/// `None` where the picture is not of sequential Huffman codes in one scan, or does not tell its
/// height before.
pub(super) fn is_whole(bytes: &[u8]) -> Option<bool> {
    let mut header = Header::default();
    let mut at = 2;
    loop {
        // as in `whole::end`: bytes between segments take nothing away
        at += bytes.get(at..)?.iter().position(|&b| b == 0xff)?;
        let marker = *bytes.get(at + 1)?;
        if matches!(marker, 0x00 | 0x01 | 0xff | 0xd0..=0xd8) {
            at += if marker == 0xff { 1 } else { 2 };
            continue;
        }
        let length = usize::from(word(bytes, at + 2)?);
        let segment = bytes.get(at + 4..at + 2 + length)?;
        at += 2 + length;
        match marker {
            0xc0 | 0xc1 => header.frame(segment)?,
            0xc4 if header.huffman(segment).is_none() => return Some(false),
            0xc4 => {}
            0xdb => header.quantization(segment)?,
            0xdd => header.restart = u32::from(word(segment, 0)?),
            0xda => {
                let parts = header.scan(segment)?;
                return Some(header.walk(&parts, bytes.get(at..)?).is_some());
            }
            0xc2..=0xcf | 0xd9 => return None,
            _ => {}
        }
    }
}

fn word(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes([*bytes.get(at)?, *bytes.get(at + 1)?]))
}

/// A table of codes: length and meaning by the next 16 bits; length 0 where there is no such code.
struct Codes(Vec<(u8, u8)>);

impl Codes {
    /// From the number of codes of each length and their meanings (T.81, annex C).
    fn of(counts: &[u8], meanings: &[u8]) -> Option<Self> {
        let mut table = Vec::with_capacity(1 << 16);
        let mut meanings = meanings.iter();
        for (length, &count) in (1_u8..=16).zip(counts) {
            for _ in 0..count {
                let meaning = *meanings.next()?;
                table.resize(table.len() + (1 << (16 - length)), (length, meaning));
                if table.len() > 1 << 16 {
                    return None;
                }
            }
        }
        table.resize(1 << 16, (0, 0));
        Some(Self(table))
    }
}

/// A component of the frame.
struct Component {
    id: u8,
    across: u32,
    down: u32,
    quantization: usize,
}

/// What the segments before the scan say.
#[derive(Default)]
struct Header {
    precision: u8,
    width: u32,
    height: u32,
    components: Vec<Component>,
    /// Steps of the first value of each block.
    steps: [i32; 4],
    first: [Option<Codes>; 4],
    others: [Option<Codes>; 4],
    /// Units between two restarts; 0 where there are none.
    restart: u32,
}

/// A component within the scan.
struct Part {
    blocks: u32,
    first: usize,
    others: usize,
    step: i32,
}

impl Header {
    fn frame(&mut self, segment: &[u8]) -> Option<()> {
        self.precision = *segment.first()?;
        self.height = u32::from(word(segment, 1)?);
        self.width = u32::from(word(segment, 3)?);
        let count = usize::from(*segment.get(5)?);
        for part in segment.get(6..6 + 3 * count)?.chunks_exact(3) {
            let &[id, sampling, quantization] = part else {
                return None;
            };
            self.components.push(Component {
                id,
                across: u32::from(sampling >> 4),
                down: u32::from(sampling & 15),
                quantization: usize::from(quantization),
            });
        }
        let sampled = |c: &Component| (1..=4).contains(&c.across) && (1..=4).contains(&c.down);
        let told = self.height > 0 && self.width > 0 && self.components.iter().all(sampled);
        told.then_some(())
    }

    fn huffman(&mut self, mut segment: &[u8]) -> Option<()> {
        while let Some((&class, rest)) = segment.split_first() {
            let counts = rest.get(..16)?;
            let meanings = rest.get(16..)?;
            let many = counts.iter().map(|&n| usize::from(n)).sum();
            let tables = if class >> 4 == 0 {
                &mut self.first
            } else {
                &mut self.others
            };
            *tables.get_mut(usize::from(class & 15))? =
                Some(Codes::of(counts, meanings.get(..many)?)?);
            segment = meanings.get(many..)?;
        }
        Some(())
    }

    fn quantization(&mut self, mut segment: &[u8]) -> Option<()> {
        while let Some((&class, rest)) = segment.split_first() {
            let (step, size) = if class >> 4 == 0 {
                (u16::from(*rest.first()?), 64)
            } else {
                (word(rest, 0)?, 128)
            };
            *self.steps.get_mut(usize::from(class & 15))? = i32::from(step);
            segment = rest.get(size..)?;
        }
        Some(())
    }

    /// The components of a scan that has all of them.
    fn scan(&self, segment: &[u8]) -> Option<Vec<Part>> {
        let count = usize::from(*segment.first()?);
        if count != self.components.len() {
            return None;
        }
        let alone = count == 1;
        let parts = segment.get(1..1 + 2 * count)?.chunks_exact(2);
        parts
            .map(|part| {
                let &[id, tables] = part else { return None };
                let component = self.components.iter().find(|c| c.id == id)?;
                Some(Part {
                    blocks: if alone {
                        1
                    } else {
                        component.across * component.down
                    },
                    first: usize::from(tables >> 4),
                    others: usize::from(tables & 15),
                    step: (*self.steps.get(component.quantization)?).max(1),
                })
            })
            .collect()
    }

    /// Goes over all units of the picture; `None` where the data are not theirs.
    fn walk(&self, parts: &[Part], data: &[u8]) -> Option<()> {
        let most = |side: fn(&Component) -> u32| self.components.iter().map(side).max();
        let (across, down) = match parts {
            [_] => (1, 1),
            _ => (most(|c| c.across)?, most(|c| c.down)?),
        };
        let units = self.width.div_ceil(8 * across) * self.height.div_ceil(8 * down);
        let mut bits = Bits::of(data);
        let mut last = vec![0_i32; parts.len()];
        for unit in 0..units {
            if self.restart > 0 && unit > 0 && unit % self.restart == 0 {
                bits.restart(unit / self.restart - 1)?;
                last.fill(0);
            }
            for (part, last) in parts.iter().zip(&mut last) {
                let first = self.first.get(part.first)?.as_ref()?;
                let others = self.others.get(part.others)?.as_ref()?;
                for _ in 0..part.blocks {
                    let difference = bits.block(first, others, self.precision == 8)?;
                    *last = last.saturating_add(difference);
                    // rounded by the maker
                    let farthest = FARTHEST + 4 * part.step;
                    if self.precision == 8 && last.saturating_mul(part.step).abs() > farthest {
                        return None;
                    }
                }
            }
        }
        (bits.left_over() <= LEFT_OVER && bits.ends()).then_some(())
    }
}

/// The bits of a scan, without what is stuffed into it.
struct Bits<'a> {
    data: &'a [u8],
    at: usize,
    held: u64,
    count: u32,
}

impl<'a> Bits<'a> {
    const fn of(data: &'a [u8]) -> Self {
        Self {
            data,
            at: 0,
            held: 0,
            count: 0,
        }
    }

    /// Takes bytes up to the next marker in.
    fn fill(&mut self) {
        while self.count <= 48 {
            let Some(&byte) = self.data.get(self.at) else {
                return;
            };
            if byte == 0xff && self.data.get(self.at + 1) != Some(&0) {
                return;
            }
            self.at += if byte == 0xff { 2 } else { 1 };
            self.held = self.held << 8 | u64::from(byte);
            self.count += 8;
        }
    }

    /// The next bits, no more than 16.
    fn take(&mut self, many: u32) -> Option<u32> {
        if self.count < many {
            self.fill();
        }
        self.count = self.count.checked_sub(many)?;
        u32::try_from(self.held >> self.count & ((1 << many) - 1)).ok()
    }

    fn code(&mut self, codes: &Codes) -> Option<u8> {
        if self.count < 16 {
            self.fill();
        }
        let next = if self.count < 16 {
            self.held << (16 - self.count)
        } else {
            self.held >> (self.count - 16)
        };
        let &(length, meaning) = codes.0.get(usize::try_from(next & 0xffff).ok()?)?;
        self.count = self.count.checked_sub(u32::from(length))?;
        (length > 0).then_some(meaning)
    }

    /// A block, and by how much its first value differs from that of the last one (T.81, F.1.2).
    fn block(&mut self, first: &Codes, others: &Codes, eight: bool) -> Option<i32> {
        let (most_first, most_others) = if eight { (11, 10) } else { (15, 14) };
        let size = self.code(first)?;
        if size > most_first {
            return None;
        }
        let value = i32::try_from(self.take(u32::from(size))?).ok()?;
        let difference = if size > 0 && value < 1 << (size - 1) {
            value - (1 << size) + 1
        } else {
            value
        };
        let mut place = 1;
        while place < 64 {
            let code = self.code(others)?;
            let (zeros, size) = (code >> 4, code & 15);
            match (zeros, size) {
                (0, 0) => break,
                (15, 0) => place += 16,
                (_, 0) => return None,
                _ => {
                    place += zeros + 1;
                    if size > most_others {
                        return None;
                    }
                    self.take(u32::from(size))?;
                }
            }
            if place > 64 {
                return None;
            }
        }
        Some(difference)
    }

    /// Goes behind the restart marker of that number.
    fn restart(&mut self, number: u32) -> Option<()> {
        if self.left_over() > LEFT_OVER {
            return None;
        }
        (self.held, self.count) = (0, 0);
        self.skip_to_marker();
        let marker = *self.data.get(self.at + 1)?;
        self.at += 2;
        (u32::from(marker) == 0xd0 + number % 8).then_some(())
    }

    /// Whether nothing of the scan stands behind the next marker.
    fn ends(&mut self) -> bool {
        self.skip_to_marker();
        let marker = self.data.get(self.at + 1);
        !matches!(marker, Some(0xd0..=0xd7))
    }

    /// Bytes that were not used up to the next marker, but for those that only fill up.
    fn left_over(&self) -> usize {
        let held = usize::try_from(self.count / 8).unwrap_or(usize::MAX);
        let rest = self.data.get(self.at..).unwrap_or_default();
        let marker = |pair: &[u8]| pair.first() == Some(&0xff) && pair.get(1) != Some(&0);
        let end = rest.windows(2).position(marker).unwrap_or(rest.len());
        let rest = rest.get(..end).unwrap_or_default();
        held + rest.iter().filter(|&&b| b != 0 && b != 0xff).count()
    }

    /// Goes to the last byte 0xff before the next marker.
    fn skip_to_marker(&mut self) {
        let rest = self.data.get(self.at..).unwrap_or_default();
        let marker =
            |pair: &[u8]| pair.first() == Some(&0xff) && !matches!(pair.get(1), Some(0 | 0xff));
        self.at += rest.windows(2).position(marker).unwrap_or(rest.len());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::codecs::jpeg::JpegEncoder;
    use image::{DynamicImage, GrayImage};

    fn page() -> GrayImage {
        GrayImage::from_fn(600, 400, |x, y| {
            image::Luma([if (x / 7 + y / 9) % 3 == 0 { 30 } else { 230 }])
        })
    }

    fn jpeg(picture: &DynamicImage) -> Vec<u8> {
        let mut out = Vec::new();
        JpegEncoder::new_with_quality(&mut out, 80)
            .encode_image(picture)
            .expect("memory");
        out
    }

    #[test]
    fn sound_pictures_are_whole_in_gray_and_in_color() {
        for picture in [
            DynamicImage::from(page()),
            DynamicImage::from(DynamicImage::from(page()).into_rgb8()),
        ] {
            assert_eq!(is_whole(&jpeg(&picture)), Some(true));
        }
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/scans");
        let mut looked = 0;
        for entry in std::fs::read_dir(root).expect("a folder") {
            let path = entry.expect("a file").path();
            if path.extension().is_some_and(|e| e == "jpg") {
                let bytes = std::fs::read(&path).expect("it is there");
                assert_ne!(is_whole(&bytes), Some(false), "{}", path.display());
                looked += 1;
            }
        }
        assert!(looked > 1, "{looked}");
    }

    #[test]
    fn data_put_in_taken_out_or_blanked_are_seen() {
        let sound = jpeg(&page().into());
        let scan = sound.windows(2).position(|w| w == [0xff, 0xda]);
        let begin = scan.expect("a scan") + 10;
        let length = sound.len() - begin;
        for n in 1..20 {
            let at = begin + length * n / 20;
            let piece = sound[at - 200..at].to_vec();
            let mut longer = sound.clone();
            longer.splice(at..at, piece);
            assert_eq!(is_whole(&longer), Some(false), "longer {n}");
            let mut shorter = sound.clone();
            shorter.drain(at - 100..at);
            assert_eq!(is_whole(&shorter), Some(false), "shorter {n}");
            let mut blank = sound.clone();
            blank[at - 200..at].fill(0);
            assert_eq!(is_whole(&blank), Some(false), "blank {n}");
        }
    }

    #[test]
    fn what_it_does_not_know_is_left_to_the_decoder() {
        assert_eq!(is_whole(b"\xff\xd8\xff\xd9"), None);
        assert_eq!(is_whole(b"\xff\xd8\xff\xc2\0\x02"), None);
        assert_eq!(is_whole(b""), None);
    }
}
