//! What a clause label can mean: `26`, `22A`, `c`, `iv`, `B`, `2.1`, `B.4`.

/// The row of labels that a label belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// `1`, `26`, `22A`.
    Arabic,
    /// `a`, `b` … `aa`.
    Lower,
    /// `A`, `B` …
    Upper,
    /// `i`, `ii` …
    RomanLower,
    /// `I`, `II` …
    RomanUpper,
    /// `2.1`, `1-2`.
    Pair,
    /// `B.4`, `B4`, `B-4`.
    Lettered,
}

impl Kind {
    /// Whether its labels name a part and a number in it: `2.1`, `B.4`.
    pub(super) const fn has_parts(self) -> bool {
        matches!(self, Self::Pair | Self::Lettered)
    }
}

/// A label read as a member of one row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Value {
    /// The row.
    pub(super) kind: Kind,
    /// Its place in the row: number times 32 plus suffix for Arabic, `a * 4096 + b` for pairs,
    /// lettered ones too.
    pub(super) place: u32,
}

const SUFFIX: u32 = 32;
const PAIR: u32 = 4096;
/// No letter has more clauses; a larger number is a year, a weight, a height.
const MOST: u32 = 299;

impl Value {
    const fn new(kind: Kind, place: u32) -> Self {
        Self { kind, place }
    }

    /// Whether a row starts with it.
    pub(super) const fn is_first(self) -> bool {
        match self.kind {
            Kind::Arabic => self.place == SUFFIX,
            Kind::Pair | Kind::Lettered => self.place % PAIR == 1,
            _ => self.place == 1,
        }
    }

    /// How far it lies behind the member `last` of the same row: 1 for the next one; `None` where
    /// it does not lie behind it.
    pub(super) const fn steps_from(self, last: u32) -> Option<u32> {
        match self.kind {
            Kind::Arabic => {
                if !self.place.is_multiple_of(SUFFIX) {
                    // 22A behind 22, 22B behind 22A.
                    return if self.place == last + 1 {
                        Some(1)
                    } else {
                        None
                    };
                }
                let (now, then) = (self.place / SUFFIX, last / SUFFIX);
                if now > then { Some(now - then) } else { None }
            }
            Kind::Pair | Kind::Lettered => {
                let (a, b) = (self.place / PAIR, self.place % PAIR);
                let (c, d) = (last / PAIR, last % PAIR);
                if a == c && b > d {
                    Some(b - d)
                } else if a == c + 1 && b == 1 {
                    Some(1)
                } else {
                    None
                }
            }
            _ => {
                if self.place > last {
                    Some(self.place - last)
                } else {
                    None
                }
            }
        }
    }

    /// Whether the two are members of rows of one depth: 2.1 and 2.3.1 are not.
    pub(super) const fn same_depth(self, place: u32) -> bool {
        !matches!(self.kind, Kind::Pair) || (self.place / PAIR >= 64) == (place / PAIR >= 64)
    }

    /// The plain number of an Arabic label without suffix.
    pub(super) const fn number(self) -> Option<u32> {
        match self.kind {
            Kind::Arabic if self.place.is_multiple_of(SUFFIX) => Some(self.place / SUFFIX),
            _ => None,
        }
    }
}

/// All ways to read a label; none for a word that is no label.
pub(super) fn readings(label: &str) -> [Option<Value>; 2] {
    let bytes = label.as_bytes();
    if bytes.is_empty() || bytes.len() > 7 {
        return [None, None];
    }
    if bytes[0].is_ascii_digit() {
        return [arabic(label).or_else(|| pair(label)), None];
    }
    if bytes.iter().all(u8::is_ascii_lowercase) {
        return [
            letter(bytes, b'a').map(|n| Value::new(Kind::Lower, n)),
            roman(label).map(|n| Value::new(Kind::RomanLower, n)),
        ];
    }
    if let Some(lettered) = lettered(bytes) {
        // A 1 that was read as a letter: I1.
        return [arabic(label), Some(lettered)];
    }
    if bytes.iter().all(u8::is_ascii_uppercase) {
        return [
            letter(bytes, b'A').map(|n| Value::new(Kind::Upper, n)),
            roman(label).map(|n| Value::new(Kind::RomanUpper, n)),
        ];
    }
    // A 1 that was read as a letter: I1, l2.
    [arabic(label), None]
}

fn arabic(label: &str) -> Option<Value> {
    let (digits, suffix) = match label.as_bytes().last()? {
        c if c.is_ascii_uppercase() && !matches!(c, b'I' | b'O') => {
            (&label[..label.len() - 1], u32::from(c - b'A') + 1)
        }
        c if c.is_ascii_lowercase() && !matches!(c, b'l' | b'o') => {
            (&label[..label.len() - 1], u32::from(c - b'a') + 1)
        }
        _ => (label, 0),
    };
    if digits.is_empty() || digits.len() > 3 || !digits.bytes().any(|c| c.is_ascii_digit()) {
        return None;
    }
    let mut n = 0;
    for c in digits.bytes() {
        n = n * 10
            + match c {
                b'0'..=b'9' => u32::from(c - b'0'),
                b'I' | b'l' => 1,
                b'O' | b'o' => 0,
                _ => return None,
            };
    }
    (1..=MOST)
        .contains(&n)
        .then_some(Value::new(Kind::Arabic, n * SUFFIX + suffix))
}

fn pair(label: &str) -> Option<Value> {
    let (head, b) = label.rsplit_once(['.', '-'])?;
    let a = match head.split_once(['.', '-']) {
        // 2.3.1: the pair (2.3, 1), out of the way of all plain pairs.
        Some((x, y)) => {
            let (x, y) = (small(x)?, small(y)?);
            64 + x * 64 + y
        }
        None => small(head)?,
    };
    Some(Value::new(Kind::Pair, a * PAIR + small(b)?))
}

/// A capital and a number: `B.4`.
fn lettered(label: &[u8]) -> Option<Value> {
    let (first, rest) = label.split_first()?;
    let digits = match rest {
        [b'.' | b'-', digits @ ..] => digits,
        digits => digits,
    };
    let n = small(str::from_utf8(digits).ok()?)?;
    first.is_ascii_uppercase().then(|| {
        let letter = u32::from(first - b'A') + 1;
        Value::new(Kind::Lettered, letter * PAIR + n)
    })
}

/// A number up to 60.
fn small(digits: &str) -> Option<u32> {
    (digits.len() <= 2 && digits.bytes().all(|c| c.is_ascii_digit()))
        .then(|| digits.parse().ok())
        .flatten()
        .filter(|n| (1..=60).contains(n))
}

fn letter(bytes: &[u8], first: u8) -> Option<u32> {
    match bytes {
        [c] => Some(u32::from(c - first) + 1),
        [c, d] if c == d => Some(u32::from(c - first) + 27),
        _ => None,
    }
}

/// A canonical Roman number up to 39.
fn roman(label: &str) -> Option<u32> {
    let mut n = 0u32;
    let mut before = 0;
    for c in label.bytes().rev() {
        let value = match c.to_ascii_lowercase() {
            b'i' => 1,
            b'v' => 5,
            b'x' => 10,
            _ => return None,
        };
        if value < before {
            n = n.checked_sub(value)?;
        } else {
            n += value;
            before = value;
        }
    }
    (n > 0 && n < 40 && write(n).eq_ignore_ascii_case(label)).then_some(n)
}

/// The Roman number of `n`, in lower case.
fn write(mut n: u32) -> String {
    let mut out = String::new();
    for (value, words) in [(10, "x"), (9, "ix"), (5, "v"), (4, "iv"), (1, "i")] {
        while n >= value {
            out.push_str(words);
            n -= value;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_have_their_readings() {
        let kinds = |l| readings(l).map(|v| v.map(|v| (v.kind, v.place)));
        assert_eq!(kinds("26"), [Some((Kind::Arabic, 26 * 32)), None]);
        assert_eq!(
            kinds("I1"),
            [
                Some((Kind::Arabic, 11 * 32)),
                Some((Kind::Lettered, 9 * 4096 + 1))
            ]
        );
        for label in ["B.4", "B-4", "B4"] {
            let read = [None, Some((Kind::Lettered, 2 * 4096 + 4))];
            assert_eq!(kinds(label), read, "{label}");
        }
        assert_eq!(kinds("iv"), [None, Some((Kind::RomanLower, 4))]);
        assert_eq!(
            kinds("i"),
            [Some((Kind::Lower, 9)), Some((Kind::RomanLower, 1))]
        );
        assert_eq!(kinds("2.1"), [Some((Kind::Pair, 2 * 4096 + 1)), None]);
        for no in [
            "vx", "iiii", "2009", "U.S", "B.", "AB.4", "B.400", "0", "RVSM", "the", "62.500", "",
        ] {
            assert_eq!(kinds(no), [None, None], "{no}");
        }
    }

    #[test]
    fn rows_go_on() {
        let step = |l, last: &str| {
            let last = readings(last)[0].unwrap();
            readings(l)[0].unwrap().steps_from(last.place)
        };
        assert_eq!(step("10", "9"), Some(1));
        assert_eq!(step("22A", "22"), Some(1));
        assert_eq!(step("23", "22B"), Some(1));
        assert_eq!(step("9", "9"), None);
        assert_eq!(step("2.1", "1.4"), Some(1));
        let lettered = |l| readings(l)[1].unwrap();
        assert_eq!(lettered("B.1").steps_from(lettered("A.6").place), Some(1));
        assert_eq!(lettered("B.2").steps_from(lettered("A.1").place), None);
    }
}
