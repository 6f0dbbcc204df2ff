//! Which lines belong to the page and not to the letter: running heads, footers, page numbers.

use std::collections::{BTreeMap, BTreeSet};

use super::page::Line;

/// How many lines at either edge of a page can be furniture.
const EDGE: usize = 3;
/// Running heads and footers stand in the outer fifths of the page.
const BAND: f32 = 0.2;
/// So many pages are looked at for a line like this one.
const TWINS: usize = 64;
/// A page of fewer lines shows no pattern.
const FEWEST: usize = 4;
/// The gap, as a share of the page, that parts a foot from the text above it.
const GAP: f32 = 0.03;
/// Running heads of two pages stand at the same height, up to this share of the page.
const SAME_HEIGHT: f32 = 0.02;

/// Tells for each line of each page whether it is furniture.
///
/// A line is furniture where it stands at the top or bottom edge of its page and is a page number,
/// or the same words (numbers aside) stand at the same edge of another page.
pub(super) fn find(pages: &[&[Line]]) -> Vec<Vec<bool>> {
    let mut found: Vec<Vec<bool>> = pages.iter().map(|p| vec![false; p.len()]).collect();
    let edges: Vec<Vec<Edge>> = pages.iter().map(|p| edges(p)).collect();
    let mut keys: BTreeMap<(bool, String), Vec<(usize, f32)>> = BTreeMap::new();
    for (page, edges) in edges.iter().enumerate() {
        for edge in edges {
            keys.entry((edge.top, edge.key.clone()))
                .or_default()
                .push((page, edge.height));
        }
    }
    let bare = bare_sequence(&edges);
    let everywhere = everywhere(&edges, pages.len());
    for (page, lines) in pages.iter().enumerate() {
        for (n, line) in lines.iter().enumerate() {
            if is_stamp(&line.text)
                && let Some(flag) = found.get_mut(page).and_then(|p| p.get_mut(n))
            {
                *flag = true;
            }
        }
    }
    for (page, edges) in edges.iter().enumerate() {
        let enough = pages.get(page).is_some_and(|p| p.len() >= FEWEST);
        // from the edge inwards: what stands inside of a line of text is text
        for top in [true, false] {
            let mut outermost = true;
            for edge in edges.iter().filter(|e| e.top == top) {
                let twins = keys.get(&(top, edge.key.clone()));
                // the last page may hold a line or two; the others show what is a head
                let shown =
                    |other: usize| enough || pages.get(other).is_some_and(|p| p.len() >= FEWEST);
                let in_band = if top {
                    edge.height < BAND
                } else {
                    edge.height > 1.0 - BAND
                };
                let repeated = in_band
                    && edge.silent
                    && !edge.clause
                    && twins.is_some_and(|places| {
                        places.iter().take(TWINS).any(|&(other, height)| {
                            other != page
                                && shown(other)
                                && (height - edge.height).abs() < SAME_HEIGHT
                        })
                    });
                let furniture = match edge.number {
                    Some(Number::Said) => true,
                    Some(Number::InPassing) if outermost => true,
                    Some(Number::Bare(n)) => bare.contains(&(page, n)) && outermost,
                    _ => {
                        (repeated || enough && in_band && everywhere.contains(edge.key.as_str()))
                            && outermost
                    }
                };
                if furniture {
                    if let Some(line) = found.get_mut(page).and_then(|p| p.get_mut(edge.line)) {
                        *line = true;
                    }
                } else {
                    outermost = false;
                }
            }
        }
    }
    found
}

/// Lines that stand at the edges of half of the pages, so that they are furniture whatever words
/// they have: "NOT VALID WITHOUT FORM 8130-7". A line of a clause can open two pages by chance, but
/// then it has a number or fills its line.
fn everywhere(edges: &[Vec<Edge>], pages: usize) -> BTreeSet<String> {
    let mut on: BTreeMap<&str, BTreeSet<usize>> = BTreeMap::new();
    for (page, edges) in edges.iter().enumerate() {
        let apart = |e: &&Edge| !e.clause && (!e.full || e.apart || pages > 2);
        for edge in edges.iter().filter(apart) {
            on.entry(&edge.key).or_default().insert(page);
        }
    }
    on.into_iter()
        .filter(|(key, on)| {
            on.len() >= 2 && on.len() * 2 >= pages && key.chars().any(char::is_alphabetic)
        })
        .map(|(key, _)| key.to_owned())
        .collect()
}

/// A line near the top or bottom of its page.
struct Edge {
    line: usize,
    top: bool,
    height: f32,
    key: String,
    number: Option<Number>,
    /// It begins like a clause.
    clause: bool,
    /// It fills its line, as the lines of a paragraph do.
    full: bool,
    /// A gap parts it from the text, as no line of a paragraph is parted from the next.
    apart: bool,
    /// It rules nothing: a line of a clause that happens to open two pages is no running head.
    silent: bool,
}

/// A page number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Number {
    /// "Page 2 of 6", "- 2 -", alone on its line.
    Said,
    /// A line that ends in "Page 2 of 6".
    InPassing,
    /// A number that nothing else stands beside.
    Bare(u32),
}

/// The lines near the edges, outermost first.
fn edges(lines: &[Line]) -> Vec<Edge> {
    let mut order: Vec<usize> = (0..lines.len()).collect();
    order.sort_by(|&a, &b| {
        let height = |n: usize| lines.get(n).map_or(0.0, |l: &Line| l.height);
        height(a).total_cmp(&height(b)).then(a.cmp(&b))
    });
    // a page of few lines has no room for two edges of the full depth
    let depth = EDGE.min(lines.len().div_ceil(2));
    let edge = |at: usize, top: bool| {
        let line = *order.get(at)?;
        let read = lines.get(line)?;
        let inward = if top { at + 1 } else { at.checked_sub(1)? };
        let gap = order
            .get(inward)
            .and_then(|n| lines.get(*n))
            .map_or(1.0, |next| (next.height - read.height).abs());
        Some(Edge {
            apart: gap > GAP,
            line,
            top,
            height: read.height,
            key: key(&read.text),
            number: number(&read.text),
            clause: starts_clause(&read.text),
            full: read.full,
            silent: silent(&read.text),
        })
    };
    let tops = (0..depth.min(order.len())).filter_map(|at| edge(at, true));
    let bottoms = (0..order.len())
        .rev()
        .take(depth.min(lines.len() - depth))
        .filter_map(|at| edge(at, false));
    tops.chain(bottoms).collect()
}

/// What two running heads have in common: their letters without case, numbers masked, and so are
/// the letters that OCR takes for digits or for each other. A number of any length is one mask, a
/// letter is one each: "Phase I" and "Phase II" are two headings.
fn key(text: &str) -> String {
    let mut key = String::new();
    for c in text.chars().filter(|c| c.is_alphanumeric()) {
        if matches!(c, 'o' | 'O' | 'l' | 'i' | 'I') {
            key.push('#');
        } else if !c.is_ascii_digit() {
            key.extend(c.to_lowercase());
        } else if !key.ends_with('#') {
            key.push('#');
        }
    }
    key
}

/// Words of a clause; no running head has one.
const RULING: &[&str] = &[
    "authorized",
    "except",
    "may",
    "must",
    "not",
    "only",
    "permitted",
    "prohibited",
    "required",
    "shall",
    "unless",
    "until",
    "will",
];

fn silent(text: &str) -> bool {
    text.chars().any(char::is_alphabetic)
        && !text
            .split(|c: char| !c.is_alphabetic())
            .any(|w| RULING.contains(&w.to_ascii_lowercase().as_str()))
}

/// `(26)`, `26.`, `26)`, `[10]`, `(a)`, `2.1` at the head of a line.
pub(super) fn starts_clause(text: &str) -> bool {
    let text = text.trim_start();
    let open = text.starts_with(['(', '[']);
    let inner = text.trim_start_matches(['(', '[']);
    let end = inner
        .find(|c: char| !c.is_ascii_alphanumeric())
        .unwrap_or(inner.len());
    let (label, rest) = inner.split_at(end);
    let digits = !label.is_empty() && label.bytes().all(|b| b.is_ascii_digit());
    let roman = !label.is_empty() && label.bytes().all(|b| b"ivxlIVXL".contains(&b));
    let known = digits && label.len() <= 3 || roman && label.len() <= 6 || label.len() == 1;
    if !known {
        return false;
    }
    let mut rest = rest.chars();
    match rest.next() {
        Some(')' | ']') => true,
        Some('.') if !open => {
            let rest = rest.as_str();
            let after = rest.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
            if after.len() == rest.len() {
                return after.is_empty() || after.starts_with(' ');
            }
            // "2.1 The" begins a clause, "62.5 hours" does not
            digits
                && after
                    .strip_prefix(' ')
                    .and_then(|w| w.chars().next())
                    .is_some_and(|c| c.is_uppercase() || c == '"')
        }
        _ => false,
    }
}

/// A line of its own that says "Page 2 of 6".
pub(super) fn is_page_mark(text: &str) -> bool {
    let text = text.trim();
    text.len() <= 40
        && number(text) == Some(Number::Said)
        && text.to_ascii_lowercase().contains("page")
}

/// Reads a page number.
fn number(text: &str) -> Option<Number> {
    let lower = text.trim().to_ascii_lowercase();
    if is_fax_line(&lower) {
        return Some(Number::Said);
    }
    let bare =
        lower.trim_matches(|c: char| c == '-' || c == '\u{2013}' || c == '\u{2014}' || c == ' ');
    let dashed = bare.len() < lower.len();
    if let Ok(n) = bare.parse::<u32>()
        && n < 1000
        && !bare.starts_with('+')
    {
        return Some(if dashed {
            Number::Said
        } else {
            Number::Bare(n)
        });
    }
    let words: Vec<&str> = bare
        .split([' ', '/', '.', ':', ','])
        .filter(|w| !w.is_empty())
        .collect();
    let is_number = |w: &&str| w.len() <= 3 && w.bytes().all(|b| b.is_ascii_digit());
    match words.as_slice() {
        ["page" | "pg" | "p" | "sheet", n] if is_number(n) => Some(Number::Said),
        ["page" | "pg" | "p" | "sheet", n, rest @ ..] if is_number(n) => match rest {
            ["of", m] | [m] if is_number(m) => Some(Number::Said),
            _ => None,
        },
        [n, "of", m] if is_number(n) && is_number(m) => Some(Number::Said),
        [head @ .., "page", n, "of", m]
            if is_number(n) && is_number(m) && head.len() <= 10 && !starts_clause(text) =>
        {
            Some(Number::InPassing)
        }
        _ => None,
    }
}

/// The line that a fax machine prints along the edge: sender, time, number, page of pages. In
/// lower case.
fn is_fax_line(lower: &str) -> bool {
    let words: Vec<&str> = lower.split_whitespace().collect();
    if words.len() < 3 || lower.len() > 140 {
        return false;
    }
    let sender = words.iter().any(|w| {
        let w = w.trim_matches(|c: char| !c.is_alphanumeric());
        matches!(
            w,
            "fax" | "from" | "to" | "tel" | "phone" | "fm" | "id" | "facsimile"
        )
    });
    let pairs = |mark: char| {
        words.iter().any(|w| {
            let w = w.trim_start_matches(|c: char| c.is_alphabetic() || c == '.');
            w.split_once(mark).is_some_and(|(a, b)| {
                let figures =
                    |s: &str| (1..=3).contains(&s.len()) && s.bytes().all(|b| b.is_ascii_digit());
                figures(a) && figures(b.trim_end_matches(|c: char| c.is_alphabetic()))
            })
        })
    };
    let page = words
        .iter()
        .any(|w| w.starts_with("p.") || matches!(*w, "p" | "page" | "pg"));
    sender && pairs(':') && (page || pairs('/')) || words.contains(&"fax") && page && pairs('/')
}

/// Words that stamps begin with.
const STAMPS: &[&str] = &[
    "RECEIVED",
    "FILED",
    "FAXED",
    "COPY",
    "FILE",
    "SCANNED",
    "ENTERED",
    "TRUE",
    "CERTIFIED",
    "MAILED",
];

/// A line of capitals that only a rubber stamp leaves: "RECEIVED APR 10 2013", "FILE COPY".
fn is_stamp(text: &str) -> bool {
    let words: Vec<&str> = text.split_whitespace().collect();
    let Some((first, rest)) = words.split_first() else {
        return false;
    };
    const MORE: &[&str] = &["COPY", "TRUE", "BY", "MAIL", "FSDO", "MIDO", "FAA"];
    const MONTHS: &[&str] = &[
        "JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC",
    ];
    let fits = |w: &&str| {
        let bare = w.trim_matches(|c: char| !c.is_alphanumeric());
        MORE.contains(&bare)
            || MONTHS.iter().any(|m| bare.starts_with(m)) && !bare.contains(char::is_lowercase)
            || bare.bytes().any(|b| b.is_ascii_digit())
                && bare.bytes().all(|b| !b.is_ascii_lowercase())
    };
    let alone = matches!(*first, "RECEIVED" | "FAXED" | "SCANNED" | "COPY");
    words.len() <= 5
        && STAMPS.contains(first)
        && rest.iter().all(fits)
        && (alone || !rest.is_empty())
}

/// Bare numbers that count along with the pages, as (page, number).
fn bare_sequence(edges: &[Vec<Edge>]) -> BTreeSet<(usize, u32)> {
    let mut by_offset: BTreeMap<(bool, i64), Vec<(usize, u32)>> = BTreeMap::new();
    for (page, edges) in edges.iter().enumerate() {
        for edge in edges {
            if let Some(Number::Bare(n)) = edge.number {
                let offset = i64::from(n) - i64::try_from(page).unwrap_or(i64::MAX);
                by_offset
                    .entry((edge.top, offset))
                    .or_default()
                    .push((page, n));
            }
        }
    }
    by_offset
        .into_iter()
        // twice in step with the pages, or once with the true number of its page
        .filter(|((_, offset), places)| places.len() > 1 || *offset == 1)
        .flat_map(|(_, places)| places)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(lines: &[&str]) -> Vec<Line> {
        let count = lines.len();
        lines
            .iter()
            .enumerate()
            .map(|(n, text)| {
                #[expect(clippy::cast_precision_loss, reason = "a few lines")]
                let height = if n * 2 < count {
                    n as f32 * 0.02
                } else {
                    1.0 - (count - n) as f32 * 0.02
                };
                Line {
                    text: (*text).to_owned(),
                    height,
                    ..Line::default()
                }
            })
            .collect()
    }

    fn taken(pages: &[Vec<Line>]) -> Vec<Vec<String>> {
        let slices: Vec<&[Line]> = pages.iter().map(Vec::as_slice).collect();
        find(&slices)
            .iter()
            .zip(pages)
            .map(|(flags, page)| {
                flags
                    .iter()
                    .zip(page)
                    .filter(|(f, _)| **f)
                    .map(|(_, l)| l.text.clone())
                    .collect()
            })
            .collect()
    }

    #[test]
    fn heads_and_page_numbers_are_taken() {
        let pages = [
            page(&["Limits of N0WHO", "(1) One.", "a", "b", "c", "Page 1 of 2"]),
            page(&["Limits of N0WHO", "goes on.", "a", "d", "e", "Page 2 of 2"]),
        ];
        assert_eq!(
            taken(&pages),
            [
                ["Limits of N0WHO", "Page 1 of 2"],
                ["Limits of N0WHO", "Page 2 of 2"]
            ]
        );
    }

    #[test]
    fn item_numbers_at_the_edge_are_text() {
        let pages = [
            page(&[
                "The first",
                "a",
                "b",
                "c",
                "d",
                "e",
                "on the ground.",
                "(14)",
            ]),
            page(&[
                "The next",
                "f",
                "g",
                "h",
                "i",
                "j",
                "on the surface.",
                "(28)",
            ]),
        ];
        assert_eq!(taken(&pages), [Vec::<String>::new(), Vec::new()]);
    }

    #[test]
    fn a_clause_that_opens_two_pages_is_no_running_head() {
        let pages = [
            page(&[
                "Phase I",
                "1. No person may",
                "fly",
                "b",
                "c",
                "d",
                "the owner must",
                "sign",
            ]),
            page(&[
                "Phase II",
                "1. No person may",
                "fly",
                "e",
                "f",
                "g",
                "the owner must",
                "land",
            ]),
        ];
        assert_eq!(taken(&pages), [Vec::<String>::new(), Vec::new()]);
    }

    #[test]
    fn a_head_with_ruling_words_is_still_a_head() {
        let head = "Not valid without Form 8130-7";
        let pages = [
            page(&[head, "1. No person may", "fly", "b", "c"]),
            page(&[head, "2. The owner must", "fly", "e", "f"]),
        ];
        assert_eq!(taken(&pages), [[head], [head]]);
    }

    #[test]
    fn bare_numbers_count_with_the_pages() {
        let pages = [
            page(&["a", "b", "c", "d", "e", "f", "1"]),
            page(&["g", "h", "i", "j", "k", "l", "2"]),
        ];
        assert_eq!(taken(&pages), [["1"], ["2"]]);
        let pages = [
            page(&["a", "b", "c", "d", "e", "f", "26"]),
            page(&["g", "h", "i", "j", "k", "l", "No person may"]),
        ];
        assert_eq!(taken(&pages), [Vec::<String>::new(), Vec::new()]);
    }

    #[test]
    fn page_numbers_in_many_forms() {
        for text in [
            "Page 2 of 6",
            "page 2/6",
            "2 of 6",
            "- 2 -",
            "Pg. 2",
            "PAGE 2",
            "\u{2014} 2 \u{2014}",
        ] {
            assert_eq!(number(text), Some(Number::Said), "{text}");
        }
        assert_eq!(
            number("N0WHO limitations Page 2 of 6"),
            Some(Number::InPassing)
        );
        assert_eq!(number("(2)"), None);
        assert_eq!(number("see page 2 of 6 of the program letter"), None);
        assert_eq!(number("7"), Some(Number::Bare(7)));
    }

    #[test]
    fn fax_lines_and_stamps() {
        for text in [
            "APR-09-2013 14:01 FROM: TIDEWRACK OFFICE FAX NO. 000 000 0000 P. 01/02",
            "04/09/2013 14:01 FAX 000 000 0000 TIDEWRACK 002/005",
            "Sent by: FM TIDEWRACK 12:44 PM page 3",
        ] {
            assert_eq!(number(text), Some(Number::Said), "{text}");
        }
        for text in [
            "flights from 10:00 to 12:00 are made by day",
            "the fax number of the office",
            "from the field to the 12/30 runway",
        ] {
            assert_eq!(number(text), None, "{text}");
        }
        for text in [
            "RECEIVED APR 10 2013",
            "FILE COPY",
            "CERTIFIED TRUE COPY",
            "COPY",
        ] {
            assert!(is_stamp(text), "{text}");
        }
        for text in [
            "RECEIVED BY THE OWNER",
            "FILED with the office",
            "TRUE",
            "Copy",
            "FILE",
        ] {
            assert!(!is_stamp(text), "{text}");
        }
    }

    #[test]
    fn a_stamp_in_a_clause_and_a_head_over_a_last_line_are_taken() {
        let pages = [
            page(&[
                "Limits of N0WHO",
                "(1) One",
                "goes",
                "RECEIVED APR 10 2013",
                "on here",
                "e",
            ]),
            page(&["Limits of N0WHO", "and ends here."]),
        ];
        assert_eq!(
            taken(&pages),
            [
                vec!["Limits of N0WHO", "RECEIVED APR 10 2013"],
                vec!["Limits of N0WHO"]
            ]
        );
    }

    #[test]
    fn clause_heads() {
        for text in [
            "(26) No", "26. No", "26) No", "[10] No", "(a) the", "2.1 The", "(iv) and",
        ] {
            assert!(starts_clause(text), "{text}");
        }
        for text in [
            "62.5 hours",
            "(see 91.319(i))",
            "No person",
            "91.319",
            "2008",
            "the aircraft. It",
        ] {
            assert!(!starts_clause(text), "{text}");
        }
    }
}
