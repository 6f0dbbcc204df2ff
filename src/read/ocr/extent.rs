//! How far a TIFF file says that it reaches (TIFF 6.0, section 2): bytes put into the rows of a page
//! push the last ones out of their strip, and shift all that are between.

/// Entries of all directories of a file; more is no scan.
const ENTRIES: usize = 100_000;
/// Programs fill a file up with zeros to a multiple of so many bytes.
const FILLED: usize = 16;
/// Bytes of one value, by its type.
const SIZES: [usize; 13] = [0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8];

/// Begin and length of strips, begin and length of tiles.
const RUNS: [(u16, u16); 2] = [(273, 279), (324, 325)];
/// Entries that lead to bytes of which these pages say nothing: directories below this one, those of
/// Exif, the older form of JPEG.
const LEADS_ON: [u16; 5] = [330, 513, 34665, 34853, 40965];

/// Whether more stands behind the last byte that the directories name than what fills the file up.
pub(super) fn is_exceeded(bytes: &[u8]) -> bool {
    let rest = end(bytes).and_then(|end| bytes.get(end..));
    rest.is_some_and(|rest| rest.len() >= FILLED || rest.iter().any(|&b| b != 0))
}

/// Where the last byte ends that a directory names; `None` where one leads on to what is not known.
fn end(bytes: &[u8]) -> Option<usize> {
    let file = File {
        bytes,
        is_little: bytes.starts_with(b"II"),
    };
    let (mut furthest, mut entries) = (0, 0);
    let mut directory = file.long(4)?;
    while directory != 0 {
        let count = file.short(directory)?;
        // every entry counts, and every directory as one: they may lead in a circle
        entries += count + 1;
        if entries > ENTRIES {
            return None;
        }
        let first = directory + 2;
        let all: Vec<Entry> = (0..count)
            .map(|n| file.entry(first + n * 12))
            .collect::<Option<_>>()?;
        if all.iter().any(|e| LEADS_ON.contains(&e.tag)) {
            return None;
        }
        furthest = all.iter().map(Entry::end).fold(furthest, usize::max);
        for (begin, length) in RUNS {
            let values = |tag| {
                let entry = all.iter().find(|e| e.tag == tag);
                entry.map_or(Some(Vec::new()), |e| file.values(e))
            };
            let (begin, length) = (values(begin)?, values(length)?);
            if begin.len() != length.len() {
                return None;
            }
            let ends = begin.iter().zip(&length).map(|(b, l)| b.saturating_add(*l));
            furthest = ends.fold(furthest, usize::max);
        }
        let next = first + count * 12;
        furthest = furthest.max(next + 4);
        directory = file.long(next)?;
    }
    Some(furthest)
}

struct File<'a> {
    bytes: &'a [u8],
    is_little: bool,
}

/// An entry of a directory.
struct Entry {
    tag: u16,
    size: usize,
    count: usize,
    /// Where its values stand.
    at: usize,
}

impl Entry {
    const fn end(&self) -> usize {
        self.at.saturating_add(self.count.saturating_mul(self.size))
    }
}

impl File<'_> {
    fn short(&self, at: usize) -> Option<usize> {
        let two = self.bytes.get(at..)?.first_chunk()?;
        Some(usize::from(if self.is_little {
            u16::from_le_bytes(*two)
        } else {
            u16::from_be_bytes(*two)
        }))
    }

    fn long(&self, at: usize) -> Option<usize> {
        let four = self.bytes.get(at..)?.first_chunk()?;
        let number = if self.is_little {
            u32::from_le_bytes(*four)
        } else {
            u32::from_be_bytes(*four)
        };
        usize::try_from(number).ok()
    }

    fn entry(&self, at: usize) -> Option<Entry> {
        let size = *SIZES.get(self.short(at + 2)?)?;
        let count = self.long(at + 4)?;
        let here = count.checked_mul(size)? <= 4;
        Some(Entry {
            tag: u16::try_from(self.short(at)?).ok()?,
            size,
            count,
            at: if here { at + 8 } else { self.long(at + 8)? },
        })
    }

    /// Numbers of two or four bytes.
    fn values(&self, entry: &Entry) -> Option<Vec<usize>> {
        let values = self.bytes.get(entry.at..entry.end())?.len() / entry.size.max(1);
        (0..values)
            .map(|n| match entry.size {
                2 => self.short(entry.at + n * 2),
                4 => self.long(entry.at + n * 4),
                _ => None,
            })
            .collect()
    }
}
