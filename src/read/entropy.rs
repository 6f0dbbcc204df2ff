//! Walks the codes of a JPEG picture (ITU-T T.81, annexes F and G) without making pixels of them.
//!
//! Huffman codes find their way back soon behind damage, so a decoder shows what follows, only
//! elsewhere: lines of the letter are lost or shifted, and nothing says so. But then the blocks end
//! before the data does, or the data before the blocks. A progressive picture that lost its last
//! scans is a blurred one, in which a word is easily taken for another: each value has to be told to
//! its last bit.

mod bits;

use bits::{Bits, Codes};

/// Samples of 8 bits lie so far from the middle, times the 8 of the transform (T.81, A.3.3).
const FARTHEST: i32 = 1024;
/// Scans of one picture; makers of pictures take ten. Decoders read no more than this either.
const SCANS: u32 = 100;
/// Blocks of a component of a progressive picture, for each of which something is kept: a page of 100
/// million pixels.
const BLOCKS: u32 = 100_000_000 / 64;

/// Whether the data of the scans are the blocks of the picture, all of them and nothing else; `None`
/// where the picture is not of Huffman codes, or does not tell its height before.
pub(super) fn is_whole(bytes: &[u8]) -> Option<bool> {
    let mut header = Header::default();
    let (mut at, mut scans) = (2, 0);
    loop {
        // as in `whole::end`: bytes between segments take nothing away
        at += bytes.get(at..)?.iter().position(|&b| b == 0xff)?;
        let marker = *bytes.get(at + 1)?;
        if matches!(marker, 0x00 | 0x01 | 0xff | 0xd0..=0xd8) {
            at += if marker == 0xff { 1 } else { 2 };
            continue;
        }
        if marker == 0xd9 {
            return (scans > 0).then(|| header.is_told());
        }
        let length = usize::from(word(bytes, at + 2)?);
        let segment = bytes.get(at + 4..at + 2 + length)?;
        at += 2 + length;
        match marker {
            // a second frame is none of this picture
            0xc0..=0xc2 if !header.components.is_empty() => return Some(false),
            0xc0..=0xc2 => header.frame(segment, marker == 0xc2)?,
            0xc4 if header.huffman(segment).is_none() => return Some(false),
            0xc4 => {}
            0xdb => header.quantization(segment)?,
            0xdd => header.restart = u32::from(word(segment, 0)?),
            0xda => {
                scans += 1;
                let walked = header
                    .scan(segment)
                    .filter(|_| scans <= SCANS)
                    .and_then(|scan| header.walk(&scan, bytes.get(at..)?));
                let Some(end) = walked else {
                    return Some(false);
                };
                at += end;
            }
            0xc3 | 0xc5..=0xcf | 0xdc => return None,
            _ => {}
        }
    }
}

fn word(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes([*bytes.get(at)?, *bytes.get(at + 1)?]))
}

/// A component of the frame.
struct Component {
    id: u8,
    across: u32,
    down: u32,
    quantization: usize,
    /// How many bits of each value of a block are not told yet; nothing before the first scan of it.
    untold: [Option<u8>; 64],
    /// Of each block of a progressive picture, which values are not zero.
    marks: Vec<u64>,
}

/// What the segments before the scans say, and what is told so far.
#[derive(Default)]
struct Header {
    is_progressive: bool,
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

/// A scan: which components it has, and what it tells of their blocks.
struct Scan {
    parts: Vec<Part>,
    /// The first and the last value of each block.
    band: (u8, u8),
    /// Whether it adds a bit to what was told before.
    refines: bool,
    /// Bits that are left to later scans.
    low: u8,
}

/// A component within the scan.
struct Part {
    component: usize,
    blocks: u32,
    first: usize,
    others: usize,
    step: i32,
}

impl Header {
    fn frame(&mut self, segment: &[u8], is_progressive: bool) -> Option<()> {
        self.is_progressive = is_progressive;
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
                untold: [None; 64],
                marks: Vec::new(),
            });
        }
        let sampled = |c: &Component| (1..=4).contains(&c.across) && (1..=4).contains(&c.down);
        let blocks = self.width.div_ceil(8) * self.height.div_ceil(8);
        let told = blocks > 0
            && !self.components.is_empty()
            && self.components.iter().all(sampled)
            && (blocks <= BLOCKS || !is_progressive);
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

    /// A scan, if what it tells is what the scans before it have left (T.81, G.1.1.1).
    fn scan(&self, segment: &[u8]) -> Option<Scan> {
        let count = usize::from(*segment.first()?);
        let &[from, to, bits] = segment.get(1 + 2 * count..4 + 2 * count)? else {
            return None;
        };
        let parts: Vec<Part> = segment
            .get(1..1 + 2 * count)?
            .chunks_exact(2)
            .map(|part| {
                let &[id, tables] = part else { return None };
                let at = self.components.iter().position(|c| c.id == id)?;
                let component = self.components.get(at)?;
                Some(Part {
                    component: at,
                    blocks: if count == 1 {
                        1
                    } else {
                        component.across * component.down
                    },
                    first: usize::from(tables >> 4),
                    others: usize::from(tables & 15),
                    step: (*self.steps.get(component.quantization)?).max(1),
                })
            })
            .collect::<Option<_>>()?;
        let (high, low) = (bits >> 4, bits & 15);
        let scan = if self.is_progressive {
            Scan {
                parts,
                band: (from, to),
                refines: high > 0,
                low,
            }
        } else {
            // what a scan of a sequential picture says of this is not asked for
            Scan {
                parts,
                band: (0, 63),
                refines: false,
                low: 0,
            }
        };
        let alone = to >= from && to < 64 && count == 1;
        let banded = !self.is_progressive || (from, to) == (0, 0) || from > 0 && alone;
        let before = scan.refines.then_some(high);
        let follows = before.is_none_or(|high| low + 1 == high)
            && scan.parts.iter().all(|p| {
                let (from, to) = scan.band;
                let told = self
                    .components
                    .get(p.component)
                    .and_then(|c| c.untold.get(usize::from(from)..=usize::from(to)));
                told.is_some_and(|told| told.iter().all(|&bits| bits == before))
            });
        (banded && count > 0 && follows).then_some(scan)
    }

    /// How many units a scan has (T.81, A.2): blocks of its only component, or groups of blocks.
    fn units(&self, scan: &Scan) -> Option<u32> {
        let most = |side: fn(&Component) -> u32| self.components.iter().map(side).max();
        let (across, down) = (most(|c| c.across)?, most(|c| c.down)?);
        let [part] = scan.parts.as_slice() else {
            return Some(self.width.div_ceil(8 * across) * self.height.div_ceil(8 * down));
        };
        let component = self.components.get(part.component)?;
        let blocks = |side: u32, own: u32, most: u32| (side * own).div_ceil(most).div_ceil(8);
        Some(
            blocks(self.width, component.across, across)
                * blocks(self.height, component.down, down),
        )
    }

    /// Goes over all units of a scan and says where its data end; `None` where they are not theirs.
    fn walk(&mut self, scan: &Scan, data: &[u8]) -> Option<usize> {
        let units = self.units(scan)?;
        let mut bits = Bits::of(data);
        let mut last = vec![0_i32; scan.parts.len()];
        let mut run = 0;
        let mut marks = self.marks(scan, units)?;
        for unit in 0..units {
            if self.restart > 0 && unit > 0 && unit % self.restart == 0 {
                if run > 0 {
                    return None;
                }
                bits.restart(unit / self.restart - 1)?;
                last.fill(0);
            }
            if scan.band.0 > 0 {
                let part = scan.parts.first()?;
                let codes = self.others.get(part.others)?.as_ref()?;
                let marks = marks.get_mut(usize::try_from(unit).ok()?)?;
                if scan.refines {
                    bits.others_refined(codes, scan.band, marks, &mut run)?;
                } else {
                    bits.others(codes, scan.band, marks, &mut run)?;
                }
                continue;
            }
            for (part, last) in scan.parts.iter().zip(&mut last) {
                for _ in 0..part.blocks {
                    self.block(scan, part, last, &mut bits)?;
                }
            }
        }
        let end = bits.end().filter(|_| run == 0)?;
        for part in &scan.parts {
            let component = self.components.get_mut(part.component)?;
            let (from, to) = (usize::from(scan.band.0), usize::from(scan.band.1));
            component.untold.get_mut(from..=to)?.fill(Some(scan.low));
        }
        if let [part] = scan.parts.as_slice() {
            self.components.get_mut(part.component)?.marks = marks;
        }
        Some(end)
    }

    /// What is kept of the blocks that the scan goes over.
    fn marks(&mut self, scan: &Scan, units: u32) -> Option<Vec<u64>> {
        let [part] = scan.parts.as_slice() else {
            return Some(Vec::new());
        };
        let component = self.components.get_mut(part.component)?;
        let mut marks = std::mem::take(&mut component.marks);
        if scan.band.0 > 0 {
            marks.resize(usize::try_from(units).ok()?, 0);
        }
        Some(marks)
    }

    /// A block of a sequential picture, or the first value of one of a progressive picture.
    fn block(&self, scan: &Scan, part: &Part, last: &mut i32, bits: &mut Bits<'_>) -> Option<()> {
        if scan.refines {
            return bits.take(1).map(|_| ());
        }
        let eight = self.precision == 8;
        let first = self.first.get(part.first)?.as_ref()?;
        let difference = if self.is_progressive {
            bits.first(first, eight)?
        } else {
            bits.block(first, self.others.get(part.others)?.as_ref()?, eight)?
        };
        *last = last.saturating_add(difference);
        // rounded by the maker
        let farthest = FARTHEST + 4 * part.step;
        let value = last.saturating_mul(1 << scan.low);
        (!eight || value.saturating_mul(part.step).abs() <= farthest).then_some(())
    }

    /// Whether every value was told to its last bit.
    fn is_told(&self) -> bool {
        self.components
            .iter()
            .all(|c| c.untold.iter().all(|&bits| bits == Some(0)))
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

    /// Made by libjpeg-turbo; see the folder's README.
    fn progressive(name: &str) -> Vec<u8> {
        let root = env!("CARGO_MANIFEST_DIR");
        std::fs::read(format!("{root}/tests/outside/data/read/{name}.jpg")).expect("it is there")
    }

    #[test]
    fn sound_pictures_of_several_scans_are_whole() {
        for name in ["progressive_gray", "progressive_color", "scans_apart"] {
            assert_eq!(is_whole(&progressive(name)), Some(true), "{name}");
        }
    }

    #[test]
    fn damage_in_any_scan_is_seen() {
        for name in ["progressive_gray", "progressive_color", "scans_apart"] {
            let sound = progressive(name);
            let begins = |pair: &[u8]| pair == [0xff, 0xda];
            let scans: Vec<usize> = (0..sound.len() - 1)
                .filter(|&at| begins(&sound[at..at + 2]))
                .chain([sound.len() - 2])
                .collect();
            for (n, pair) in scans.windows(2).enumerate() {
                let (begin, end) = (pair[0], pair[1]);
                let without = [&sound[..begin], &sound[end..]].concat();
                assert_eq!(is_whole(&without), Some(false), "{name} without {n}");
                let twice = [&sound[..end], &sound[begin..]].concat();
                assert_eq!(is_whole(&twice), Some(false), "{name} {n} twice");
                let ended = [&sound[..begin], &[0xff, 0xd9]].concat();
                assert_ne!(is_whole(&ended), Some(true), "{name} ended before {n}");
                let middle = begin + (end - begin) / 2;
                let shorter = [&sound[..middle], &sound[middle + 20..]].concat();
                assert_ne!(is_whole(&shorter), Some(true), "{name} {n} shorter");
            }
        }
    }

    #[test]
    fn what_it_does_not_know_is_left_to_the_decoder() {
        assert_eq!(is_whole(b"\xff\xd8\xff\xd9"), None);
        assert_eq!(is_whole(b"\xff\xd8\xff\xc9\0\x02"), None);
        assert_eq!(is_whole(b""), None);
    }
}
