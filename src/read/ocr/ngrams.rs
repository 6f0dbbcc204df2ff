//! How likely a letter is behind others in English text: counts of pieces of up to six letters
//! (`src/read/models/train/ngrams.py`), each shorter piece standing in for what was never seen behind a
//! longer one (Witten and Bell 1991, "The Zero-Frequency Problem").

use std::io::Read;

use rustc_hash::FxHashMap;

/// Bits of a symbol; 0 is none.
const BITS: u32 = 6;
/// Symbols of the longest piece but the last one.
const BEFORE: u32 = 5;
/// More are in no file: the counts of a piece are one number.
const LONGEST: usize = BEFORE as usize + 1;
/// How likely any symbol is of which nothing is known.
const ANY: f32 = 1.0 / 64.0;

/// Signs that mean the same.
const SAME: [(char, char); 6] = [
    ('\u{201c}', '"'),
    ('\u{201d}', '"'),
    ('\u{2018}', '\''),
    ('\u{2019}', '\''),
    ('\u{2013}', '-'),
    ('\u{2014}', '-'),
];

/// The last symbols of a text.
#[derive(Clone, Copy, Default, PartialEq)]
pub(super) struct Before(u64);

impl Before {
    /// With one more.
    pub(super) const fn and(self, symbol: u8) -> Self {
        Self((self.0 << BITS | symbol as u64) & ((1 << (BITS * BEFORE)) - 1))
    }

    /// The last symbols, and how many they are: of two texts that differ in length, never the same.
    const fn last(self, count: u32) -> u64 {
        let bits = BITS * count;
        self.0 & ((1 << bits) - 1) | 1 << bits
    }

    const fn holds(self, count: u32) -> bool {
        count == 0 || self.0 >> (BITS * (count - 1)) != 0
    }
}

/// The model, loaded.
pub(super) struct Ngrams {
    alphabet: Vec<char>,
    /// How often each piece was seen.
    pieces: FxHashMap<u64, f32>,
    /// How often anything was seen behind each piece, and how many symbols.
    behind: FxHashMap<u64, (f32, f32)>,
}

impl Ngrams {
    /// Loads it; `None` where it is broken.
    pub(super) fn load(bytes: &[u8]) -> Option<Self> {
        let mut all = Vec::new();
        flate2::read::ZlibDecoder::new(bytes)
            .read_to_end(&mut all)
            .ok()?;
        let end = all.iter().position(|&b| b == b'\n')?;
        let (alphabet, all) = (all.get(..end)?, all.get(end + 1..)?);
        let alphabet: Vec<char> = std::str::from_utf8(alphabet).ok()?.chars().collect();
        let count = all.len() / 3;
        if all.len() != 3 * count {
            return None;
        }
        let (lengths, all) = all.split_at(count);
        let (symbols, counts) = all.split_at(count);
        let mut out = Self {
            alphabet,
            pieces: FxHashMap::default(),
            behind: FxHashMap::default(),
        };
        out.pieces.reserve(count);
        let mut piece: Vec<u8> = Vec::new();
        for ((&length, &symbol), &seen) in lengths.iter().zip(symbols).zip(counts) {
            piece.truncate(usize::from(length).checked_sub(1)?);
            if piece.len() + 1 != usize::from(length) || usize::from(length) > LONGEST {
                return None;
            }
            let seen = (f32::from(seen) / 2.0).exp2();
            let before = piece.iter().fold(Before::default(), |b, &s| b.and(s));
            let key = before.last(u32::try_from(piece.len()).ok()?);
            let behind = out.behind.entry(key).or_default();
            *behind = (behind.0 + seen, behind.1 + 1.0);
            out.pieces.insert(key << BITS | u64::from(symbol), seen);
            piece.push(symbol);
        }
        Some(out)
    }

    /// The symbol of a sign.
    pub(super) fn symbol(&self, sign: char) -> u8 {
        let same = SAME.iter().find(|(c, _)| *c == sign);
        let sign = same.map_or(sign, |(_, as_well)| *as_well);
        let sign = if sign.is_ascii_digit() {
            '0'
        } else {
            sign.to_lowercase().next().unwrap_or(sign)
        };
        let place = self.alphabet.iter().position(|&c| c == sign);
        u8::try_from(place.unwrap_or(self.alphabet.len()) + 1).unwrap_or(0)
    }

    /// The logarithm of how likely the symbol is behind these.
    pub(super) fn likely(&self, before: Before, symbol: u8) -> f32 {
        let mut likely = ANY;
        for count in (0..=BEFORE).take_while(|&count| before.holds(count)) {
            let key = before.last(count);
            let Some((all, kinds)) = self.behind.get(&key) else {
                break;
            };
            let seen = self.pieces.get(&(key << BITS | u64::from(symbol)));
            likely = (seen.copied().unwrap_or(0.0) + kinds * likely) / (all + kinds);
        }
        likely.ln()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;

    /// Of these pieces, each with twice the logarithm of its count.
    fn of(pieces: &[(&str, u8)]) -> Option<Ngrams> {
        let alphabet = " abn";
        let symbol = |c: char| 1 + alphabet.find(c).expect("of the alphabet") as u8;
        let mut all = format!("{alphabet}\n").into_bytes();
        all.extend(pieces.iter().map(|(p, _)| p.len() as u8));
        let last = |p: &str| p.chars().last().map(symbol);
        all.extend(pieces.iter().filter_map(|(p, _)| last(p)));
        all.extend(pieces.iter().map(|(_, count)| count));
        let mut out = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::fast());
        out.write_all(&all).expect("into memory");
        Ngrams::load(&out.finish().expect("into memory"))
    }

    #[test]
    fn what_was_seen_behind_longer_pieces_counts_more() {
        let model = of(&[("a", 2), ("ab", 2), ("b", 2)]).expect("it is whole");
        let [a, b, n] = ['A', 'b', 'n'].map(|c| model.symbol(c));
        let behind = |before: Before, symbol| model.likely(before, symbol).exp();
        let near = |a: f32, b: f32| (a - b).abs() < 1e-5;
        let nothing = Before::default();
        // seen twice of four, and two kinds stand in for what was not
        let alone = (2.0 + 2.0 / 64.0) / 6.0;
        assert!(near(behind(nothing, a), alone));
        assert!(near(behind(nothing, n), 2.0 / 64.0 / 6.0));
        assert!(near(behind(nothing.and(a), b), (2.0 + alone) / 3.0));
        // behind b nothing is known
        assert!(near(behind(nothing.and(b), a), alone));
    }

    #[test]
    fn a_broken_file_is_none() {
        assert!(Ngrams::load(b"no stream").is_none());
        assert!(of(&[("ab", 2)]).is_none());
        assert!(of(&[("", 0)]).is_none());
    }
}
