//! What a page is worth: text, a scan, a hidden layer, garbage; and whether two readings agree.

use super::first::FEW;
use super::page::Page;

/// What the first reading found on a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// Words that the page shows.
    Text,
    /// A picture of paper, with the words of an OCR program laid invisibly over it.
    HiddenLayer,
    /// A picture of paper without words.
    Scan,
    /// Words drawn as shapes: lines and curves, no characters.
    Drawn,
    /// Characters that make no words.
    Garbled,
    /// Nothing.
    Empty,
}

/// An image that covers more than this share of the page is a scan where words are missing.
const COVER: f32 = 0.6;
/// More shapes than this without any character are words drawn as shapes.
const SHAPES: u32 = 200;

pub(super) fn kind(page: &Page) -> Kind {
    let census = page.census;
    if census.visible < FEW {
        if census.invisible >= FEW {
            return if garbled(page) {
                Kind::Scan
            } else {
                Kind::HiddenLayer
            };
        }
        if census.cover > COVER {
            return Kind::Scan;
        }
        if census.visible == 0 {
            return if census.paths > SHAPES {
                Kind::Drawn
            } else {
                Kind::Empty
            };
        }
        return Kind::Text;
    }
    if census.cover > COVER && census.invisible > census.visible {
        return if garbled(page) {
            Kind::Scan
        } else {
            Kind::HiddenLayer
        };
    }
    if garbled(page) {
        Kind::Garbled
    } else {
        Kind::Text
    }
}

/// Words that make up a third of any English text.
const COMMON: &[&str] = &[
    "a",
    "accordance",
    "after",
    "aircraft",
    "all",
    "an",
    "and",
    "any",
    "are",
    "as",
    "at",
    "be",
    "by",
    "for",
    "from",
    "has",
    "have",
    "in",
    "is",
    "it",
    "may",
    "must",
    "no",
    "not",
    "of",
    "on",
    "operating",
    "or",
    "part",
    "person",
    "shall",
    "that",
    "the",
    "this",
    "to",
    "unless",
    "was",
    "will",
    "with",
];

/// Whether the characters make no English words: a damaged or missing table of characters.
pub(super) fn garbled(page: &Page) -> bool {
    let census = page.census;
    let seen = census.visible + census.invisible;
    if census.unknown > 5 && census.unknown * 10 > seen {
        return true;
    }
    let (mut all, mut common) = (0_u32, 0_u32);
    for line in &page.lines {
        for word in line.text.split(|c: char| !c.is_alphabetic()) {
            if word.is_empty() {
                continue;
            }
            all += 1;
            let lower = word.to_lowercase();
            common += u32::from(COMMON.contains(&lower.as_str()));
        }
    }
    all >= 60 && common * 12 < all
}

/// Words on which the answer can turn.
const DECIDING: &[&str] = &[
    "may",
    "must",
    "shall",
    "will",
    "not",
    "no",
    "only",
    "unless",
    "except",
    "until",
    "person",
    "mechanic",
    "mechanics",
    "repairman",
    "repairmen",
    "builder",
    "owner",
    "manufacturer",
    "station",
    "stations",
    "inspector",
    "certificated",
    "rated",
];

/// The deciding words that one reading has more often than the other, with both numbers.
///
/// Words are counted first; where that differs, letters are counted without blanks, as the two
/// readings need not part words at the same places.
pub(super) fn differences(first: &str, second: &str) -> Vec<(&'static str, usize, usize)> {
    let (tokens_a, tokens_b) = (tokens(first), tokens(second));
    let mut letters: Option<(String, String)> = None;
    let mut out = Vec::new();
    for &word in DECIDING {
        let count = |tokens: &[String]| tokens.iter().filter(|t| *t == word).count();
        let (a, b) = (count(&tokens_a), count(&tokens_b));
        if a == b {
            continue;
        }
        let (squeezed_a, squeezed_b) =
            letters.get_or_insert_with(|| (squeezed(first), squeezed(second)));
        if squeezed_a.matches(word).count() != squeezed_b.matches(word).count() {
            out.push((word, a, b));
        }
    }
    out
}

/// Letters more than this are words that the first reading lost.
const MORE: usize = 40;

/// Whether the second reading has more of the page than the first, apart from what the first left
/// out knowingly.
pub(super) fn longer(page: &Page, first: &str, second: &str) -> bool {
    let aside: usize = page.aside.iter().map(|words| squeezed(words).len()).sum();
    let census = page.census;
    let left_out = [
        census.invisible,
        census.unseen,
        census.outside,
        census.unknown,
    ]
    .iter()
    .map(|n| usize::try_from(*n).unwrap_or(usize::MAX))
    .fold(aside, usize::saturating_add);
    let known = squeezed(first).len().saturating_add(left_out);
    squeezed(second).len() > known + known / 50 + MORE
}

/// Whether the second reading saw enough of the page to be held against the first.
pub(super) fn comparable(first: &str, second: &str) -> bool {
    let (a, b) = (squeezed(first).len(), squeezed(second).len());
    b * 20 >= a * 19
}

fn squeezed(text: &str) -> String {
    super::chars::clean(text)
        .chars()
        .filter(|c| c.is_alphabetic())
        .flat_map(char::to_lowercase)
        .collect()
}

fn tokens(text: &str) -> Vec<String> {
    super::chars::clean(text)
        .split(|c: char| !c.is_alphabetic())
        .filter(|w| !w.is_empty())
        .map(str::to_lowercase)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::page::{Census, Line};

    fn page(text: &str, census: Census) -> Page {
        Page {
            lines: vec![Line {
                text: text.into(),
                ..Line::default()
            }],
            census,
            ..Page::default()
        }
    }

    #[test]
    fn kinds_of_page() {
        let seen = |visible, invisible, cover, paths| Census {
            visible,
            invisible,
            cover,
            paths,
            ..Census::default()
        };
        for (census, expected) in [
            (seen(900, 0, 0.1, 3), Kind::Text),
            (seen(0, 0, 1.0, 0), Kind::Scan),
            (seen(12, 0, 0.9, 0), Kind::Scan),
            (seen(0, 900, 1.0, 0), Kind::HiddenLayer),
            (seen(40, 900, 1.0, 0), Kind::HiddenLayer),
            (seen(0, 0, 0.0, 4000), Kind::Drawn),
            (seen(0, 0, 0.0, 0), Kind::Empty),
            (seen(12, 0, 0.0, 0), Kind::Text),
        ] {
            assert_eq!(kind(&page("No person may", census)), expected, "{census:?}");
        }
    }

    #[test]
    fn a_damaged_table_of_characters_is_seen() {
        let good =
            "the owner of this aircraft may not operate it unless the inspection is current. "
                .repeat(8);
        let census = Census {
            visible: 600,
            ..Census::default()
        };
        assert_eq!(kind(&page(&good, census)), Kind::Text);
        let shifted: String = good
            .chars()
            .map(|c| match c {
                'a'..='y' => char::from_u32(u32::from(c) + 1).unwrap_or(c),
                c => c,
            })
            .collect();
        assert_eq!(kind(&page(&shifted, census)), Kind::Garbled);
    }

    #[test]
    fn readings_are_compared_in_the_words_that_decide() {
        let first = "No person may operate this aircraft unless the mechanic signs.";
        assert!(
            differences(
                first,
                "No per son m ay\noperate this aircraft unless the mechanic signs."
            )
            .is_empty()
        );
        assert_eq!(
            differences(
                first,
                "No person may not operate this aircraft unless the mechanic signs."
            ),
            [("not", 0, 1)]
        );
        assert!(comparable(first, first));
        assert!(!comparable(first, "No person"));
    }
}
