//! Numbers in words: the closed class of the numerals.

/// Zero to nineteen.
const UNITS: [&str; 20] = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
];

/// The ordinals up to nineteenth that are not their number with "th" behind it.
const ORDINALS: [(&str, u32); 7] = [
    ("first", 1),
    ("second", 2),
    ("third", 3),
    ("fifth", 5),
    ("eighth", 8),
    ("ninth", 9),
    ("twelfth", 12),
];

/// Twenty to ninety.
const TENS: [&str; 8] = [
    "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety",
];

fn place(all: &[&str], word: &str) -> Option<u32> {
    let at = all.iter().position(|w| *w == word)?;
    u32::try_from(at).ok()
}

/// The value of "zero" to "nineteen", in lower case.
pub(crate) fn unit(word: &str) -> Option<u32> {
    place(&UNITS, word)
}

/// The value of the tens of a number in words: "twenty" of "twenty-five".
pub(crate) fn tens(word: &str) -> Option<u32> {
    place(&TENS, word).map(|n| (n + 2) * 10)
}

/// The number that the words from the first on say, and how many they are; a hyphen is no word:
/// `six`, `twenty four`, `hundred`, `one hundred`.
pub(crate) fn cardinal<'w>(word: impl Fn(usize) -> &'w str) -> Option<(u32, usize)> {
    if word(0) == "hundred" {
        return Some((100, 1));
    }
    if let Some(tens) = tens(word(0)) {
        return Some(match unit(word(1)).filter(|n| (1..10).contains(n)) {
            Some(unit) => (tens + unit, 2),
            None => (tens, 1),
        });
    }
    let unit = unit(word(0))?;
    Some(if word(1) == "hundred" {
        (unit * 100, 2)
    } else {
        (unit, 1)
    })
}

/// The place in a row that the words from the first on say, and how many they are: `third`,
/// `twenty first`.
pub(crate) fn ordinal<'w>(word: impl Fn(usize) -> &'w str) -> Option<(u32, usize)> {
    let one = |word: &str| {
        let irregular = ORDINALS.iter().find(|(w, _)| *w == word).map(|(_, n)| *n);
        irregular.or_else(|| unit(word.strip_suffix("th")?).filter(|n| *n > 3))
    };
    if let Some(tens) = tens(word(0)) {
        let unit = one(word(1)).filter(|n| *n < 10)?;
        return Some((tens + unit, 2));
    }
    // "twentieth", "thirtieth"
    let round = || {
        let stem = word(0).strip_suffix("ieth")?;
        TENS.iter()
            .position(|t| t.strip_suffix('y') == Some(stem))
            .and_then(|n| u32::try_from((n + 2) * 10).ok())
    };
    one(word(0)).or_else(round).map(|n| (n, 1))
}

/// Whether a word is part of a number in words, in lower case.
pub(crate) fn is_numeral(word: &str) -> bool {
    unit(word).is_some() || tens(word).is_some() || ["hundred", "thousand", "and"].contains(&word)
}

/// The year that the words from the first on say, and how many they are: `two thousand and twenty six`,
/// `nineteen ninety eight`, `twenty oh five`.
pub(crate) fn year<'w>(word: impl Fn(usize) -> &'w str) -> Option<(u32, usize)> {
    let first = unit(word(0)).or_else(|| tens(word(0)))?;
    let (century, mut n) = match word(1) {
        "thousand" => (first * 1000, 2),
        "hundred" => (first * 100, 2),
        _ => (first * 100, 1),
    };
    if word(n) == "and" {
        n += 1;
    }
    let rest = match word(n) {
        "oh" => unit(word(n + 1)).map(|rest| (rest, 2)),
        _ => cardinal(|k| word(n + k)).filter(|(rest, _)| *rest < 100),
    };
    let (year, used) = match rest {
        Some((rest, used)) => (century + rest, n + used),
        None => (century, n),
    };
    (1900..=2200).contains(&year).then_some((year, used))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_from_words() {
        let words =
            |said: &'static str| move |n: usize| said.split([' ', '-']).nth(n).unwrap_or_default();
        for (said, is) in [
            ("six", Some((6, 1))),
            ("twenty-four", Some((24, 2))),
            ("thirty days", Some((30, 1))),
            ("one hundred", Some((100, 2))),
            ("hundred", Some((100, 1))),
            ("eleventh", None),
            ("", None),
        ] {
            assert_eq!(cardinal(words(said)), is, "{said}");
        }
        for (said, is) in [
            ("third", Some((3, 1))),
            ("twelfth", Some((12, 1))),
            ("twentieth", Some((20, 1))),
            ("thirty-first", Some((31, 2))),
            ("thirty days", None),
            ("three", None),
        ] {
            assert_eq!(ordinal(words(said)), is, "{said}");
        }
    }
}
