//! What is not there: numbers, pages, ends of sentences, strips of paper; and pages that should not
//! be there.

use std::collections::BTreeSet;

use crate::document::papers::{Part, What};
use crate::model::{Clause, Defect, Detail, Edge, Letter, Span, Text};
use crate::patterns::Patterns;

/// The label at the head of a clause of the first level.
fn head(clause: &Clause) -> Option<&str> {
    (clause.level == 1)
        .then_some(clause.number.as_ref()?)
        .map(|n| n.label.as_str())
}

/// How the clauses of the first level are counted.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Count {
    /// 1, 2, 3.
    Figures,
    /// A, B, C, where no clause has a figure.
    Letters,
}

impl Count {
    fn of(clauses: &[Clause]) -> Self {
        let heads = || clauses.iter().filter_map(head);
        let letters = heads().count() > 2 && heads().all(|h| Self::Letters.value(h).is_some());
        if letters {
            Self::Letters
        } else {
            Self::Figures
        }
    }

    fn value(self, label: &str) -> Option<u32> {
        match self {
            Self::Figures => label.parse().ok(),
            Self::Letters => {
                let mut chars = label.chars();
                let letter = chars.next().filter(char::is_ascii_alphabetic)?;
                let at = u32::from(letter.to_ascii_uppercase()) - u32::from('A') + 1;
                chars.next().is_none().then_some(at)
            }
        }
    }

    fn name(self, value: u32) -> String {
        match self {
            Self::Figures => value.to_string(),
            Self::Letters => {
                char::from_u32(u32::from('A') + value - 1).map_or_else(String::new, String::from)
            }
        }
    }
}

/// Gaps and repeats in the numbers at the heads of clauses. Item numbers at the ends of clauses
/// are those of the order's list and jump by nature.
pub(super) fn numbering(clauses: &[Clause], parts: &[Part]) -> Vec<Defect> {
    let mut found = Vec::new();
    let count = Count::of(clauses);
    let numbered: Vec<(usize, u32)> = clauses
        .iter()
        .enumerate()
        .filter_map(|(i, c)| Some((i, count.value(head(c)?)?)))
        .collect();
    if let Some(&(i, first)) = numbered.first()
        && first > 1
    {
        found.push(Defect {
            detail: Detail::BeginsAt {
                number: count.name(first),
            },
            clauses: vec![i],
            span: Some(clauses[i].span),
        });
    }
    for pair in numbered.windows(2) {
        let [(before, a), (after, b)] = *pair else {
            continue;
        };
        let (part_a, part_b) = (
            part(parts, clauses[before].span),
            part(parts, clauses[after].span),
        );
        let amends = |p: Option<&Part>| p.is_some_and(|p| p.what == What::Amendment);
        if amends(part_a) || amends(part_b) {
            // an amendment has only the numbers that it changes
            continue;
        }
        if b == a {
            found.push(Defect {
                detail: Detail::NumberTwice {
                    number: count.name(b),
                },
                clauses: vec![before, after],
                span: Some(clauses[after].span),
            });
        } else if b > a + 1 {
            found.push(Defect {
                detail: Detail::NumbersMissing {
                    first: count.name(a + 1),
                    last: count.name(b - 1),
                },
                clauses: vec![before, after],
                span: Some(clauses[after].span),
            });
        }
    }
    found
}

/// Pages of at most so many lines' length are looked at for page numbers.
const LINE: usize = 120;
/// Nothing with more pages is a letter.
const PAGES: u32 = 200;

/// What the pages say of themselves: source, page in the file, "page n of m". A head that was not
/// taken for one says it, too.
fn marks(text: &Text) -> Vec<(u16, u32, (u32, u32))> {
    let mut seen: Vec<(u16, u32, (u32, u32))> = text
        .furniture
        .iter()
        .filter_map(|f| Some((f.place.source, f.place.page, page_of(&f.text)?)))
        .collect();
    let mut at = 0;
    for line in text.content.split_inclusive('\n') {
        if line.len() < LINE
            && let Some(mark) = page_of(line)
        {
            let place = text.place(at);
            seen.push((place.source, place.page, mark));
        }
        at += line.len();
    }
    seen.sort_unstable();
    seen.dedup();
    seen
}

/// The number of pages that most pages name.
fn usual_total(seen: &[(u16, u32, (u32, u32))]) -> Option<u32> {
    let mut totals: Vec<u32> = seen.iter().map(|(_, _, (_, of))| *of).collect();
    totals.sort_unstable();
    let count = |total: u32| totals.iter().filter(|t| **t == total).count();
    totals.iter().copied().max_by_key(|&t| (count(t), t))
}

/// "Page 2 of 3" without page 3.
pub(super) fn pages(text: &Text) -> Vec<Defect> {
    let seen = marks(text);
    let mut totals: Vec<u32> = seen
        .iter()
        .map(|(_, _, (_, of))| *of)
        .filter(|of| *of <= PAGES)
        .collect();
    totals.sort_unstable();
    totals.dedup();
    let usual = usual_total(&seen);
    let mut found = Vec::new();
    for total in totals {
        let here = |n: u32| seen.iter().any(|(_, _, mark)| *mark == (n, total));
        let held = (1..=total).filter(|&n| here(n)).count();
        // one page that counts otherwise is of another document, or was misread
        if Some(total) != usual && held < 2 {
            continue;
        }
        for n in (1..=total).filter(|&n| !here(n)) {
            found.push(Defect {
                detail: Detail::PageMissing {
                    page: n,
                    of: total,
                    behind: (1..n).rev().find(|&b| here(b)),
                },
                clauses: Vec::new(),
                span: None,
            });
        }
    }
    found
}

/// A page that counts its pages otherwise than all others: "Page 2 of 7" among pages "of 3".
pub(super) fn other_pages(text: &Text, parts: &[Part]) -> Vec<Defect> {
    let seen = marks(text);
    let Some(usual) = usual_total(&seen) else {
        return Vec::new();
    };
    let count = |total: u32| seen.iter().filter(|(_, _, (_, of))| *of == total).count();
    if count(usual) < 2 {
        return Vec::new();
    }
    seen.iter()
        .filter(|(_, _, (_, of))| *of != usual && count(*of) == 1)
        .map(|(source, page, (n, of))| Defect {
            detail: Detail::OtherCount {
                source: *source,
                page: *page,
                number: *n,
                of: *of,
                usual,
            },
            clauses: Vec::new(),
            span: parts
                .iter()
                .find(|p| (p.source, p.page) == (*source, *page))
                .map(|p| p.span.trimmed(&text.content)),
        })
        .collect()
}

/// The part in which a span begins.
fn part(parts: &[Part], span: Span) -> Option<&Part> {
    let next = parts.partition_point(|p| p.span.start <= span.start);
    parts.get(next.checked_sub(1)?)
}

/// Reads "Page 2 of 6" in a running head.
fn page_of(line: &str) -> Option<(u32, u32)> {
    let words: Vec<&str> = line
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .collect();
    words.windows(4).find_map(|w| {
        let page: u32 = w[1].parse().ok()?;
        let of: u32 = w[3].parse().ok()?;
        (w[0].eq_ignore_ascii_case("page") && w[2].eq_ignore_ascii_case("of") && page <= of)
            .then_some((page, of))
    })
}

/// Words that do not end a sentence.
const OPEN_ENDS: [&str; 22] = [
    "a",
    "an",
    "the",
    "of",
    "in",
    "or",
    "and",
    "to",
    "by",
    "for",
    "with",
    "at",
    "as",
    "that",
    "this",
    "must",
    "may",
    "shall",
    "be",
    "under",
    "from",
    "appropriately",
];

/// A clause that stops in the middle of a sentence.
pub(super) fn cut_off(letter: &Letter, text: &Text) -> Vec<Defect> {
    let content = &text.content;
    let mut found = Vec::new();
    let last_numbered = letter
        .clauses
        .iter()
        .rposition(|c| c.number.is_some() || c.item.is_some());
    let ends_well = |c: &Clause| {
        c.body
            .of(content)
            .trim_end()
            .ends_with(['.', '"', '\'', ')', ':', ';', '?', '!', ']'])
    };
    let numbered: Vec<&Clause> = letter
        .clauses
        .iter()
        .filter(|c| c.number.is_some() || c.item.is_some())
        .collect();
    // where clauses have their stops, a clause without one at the end of a page goes on elsewhere
    let stops = numbered.len() > 3
        && numbered.iter().filter(|c| ends_well(c)).count() * 4 >= numbered.len() * 3;
    for (i, clause) in letter.clauses.iter().enumerate() {
        let numbered = clause.number.is_some() || clause.item.is_some();
        if !numbered {
            continue;
        }
        // A lead-in is ended by its items, a clause by its own paragraphs.
        if letter
            .clauses
            .get(i + 1)
            .is_some_and(|next| next.parent.is_some())
        {
            continue;
        }
        let words = clause.body.of(content).trim_end();
        let Some(last) = words.split_whitespace().next_back() else {
            continue;
        };
        let bare = last.trim_matches(|c: char| !c.is_alphanumeric() && c != '-');
        let open_word = OPEN_ENDS.contains(&bare.to_ascii_lowercase().as_str())
            && last.ends_with(char::is_alphanumeric);
        let dangling = last.ends_with(',') || last.ends_with('-');
        let at_end =
            Some(i) == last_numbered && words.len() > 60 && last.ends_with(char::is_lowercase);
        let end = clause.body.start + words.len();
        let place = text.place(end.saturating_sub(1));
        let page_ends = stops
            && !ends_well(clause)
            && words.len() > 30
            && letter.clauses.get(i + 1).is_some_and(|next| {
                let next = text.place(next.span.start);
                (next.source, next.page) != (place.source, place.page)
            });
        if open_word
            || dangling
            || page_ends
            || (at_end && !words.ends_with(['.', '"', ')', ':', ';']))
        {
            found.push(Defect {
                detail: Detail::ClauseCut {
                    at_page_end: page_ends,
                },
                clauses: vec![i],
                span: Some(Span::new(end - last.len(), end)),
            });
        }
    }
    found
}

/// Fewer lines than this show no pattern.
const LINES: usize = 6;
/// Of the lines of a page, so many have to begin or end in the middle of a word: one in this many.
const SHARE: usize = 3;

/// Pages whose lines begin or end in the middle of words: a strip at the edge was lost when the
/// page was copied or photographed.
///
/// Half words are told by the words that are known: a fragment is no word, and some known word
/// ends (or begins) with it. A broken word with its hyphen is whole in the text by now.
pub(super) fn strips(
    letter: &Letter,
    text: &Text,
    parts: &[Part],
    patterns: &Patterns,
) -> Vec<Defect> {
    let mut found = Vec::new();
    let mut known: Option<Words> = None;
    for part in parts {
        let lines: Vec<&str> = part
            .span
            .of(&text.content)
            .lines()
            .filter(|l| l.split_whitespace().count() > 3)
            .collect();
        if lines.len() < LINES {
            continue;
        }
        let odd = |word: &&str| !patterns_know(patterns, word);
        // What is cut off takes the marks at that side with it: `Road,` is whole at its right.
        let firsts = lines
            .iter()
            .filter_map(|l| l.split_whitespace().next())
            .filter(|w| w.starts_with(char::is_alphabetic))
            .filter(odd);
        let lasts = lines
            .iter()
            .filter_map(|l| l.split_whitespace().next_back())
            .filter(|w| w.ends_with(char::is_alphabetic))
            .filter(odd);
        // most pages have no such lines, and the list of known words is not made for them
        let enough = |n: usize| n * SHARE >= lines.len();
        let left = enough(firsts.clone().count());
        let right = enough(lasts.clone().count());
        if !left && !right {
            continue;
        }
        let known = known.get_or_insert_with(|| Words::of(text, patterns));
        let left = left && enough(firsts.filter(|w| known.ends_with(w)).count());
        let right = right && enough(lasts.filter(|w| known.begins_with(w)).count());
        let edge = match (left, right) {
            (true, true) => Edge::Both,
            (true, false) => Edge::Left,
            (false, true) => Edge::Right,
            (false, false) => continue,
        };
        found.push(Defect {
            detail: Detail::StripLost {
                source: part.source,
                page: part.page,
                edge,
            },
            clauses: letter
                .clauses
                .iter()
                .enumerate()
                .filter(|(_, c)| c.span.overlaps(part.span))
                .map(|(n, _)| n)
                .collect(),
            span: Some(part.span.trimmed(&text.content)),
        });
    }
    found
}

/// The word without the marks around it, in lower case.
fn bare(word: &str) -> String {
    word.trim_matches(|c: char| !c.is_alphanumeric())
        .to_lowercase()
}

fn patterns_know(patterns: &Patterns, word: &str) -> bool {
    let word = bare(word);
    word.is_empty()
        || word.contains(|c: char| !c.is_alphabetic())
        || patterns.lexicon.number(&word) != 0
        || patterns.slip.known.contains(&word)
}

/// The words that stand whole in the text and in the reference wordings, forwards and backwards.
struct Words {
    forwards: BTreeSet<String>,
    backwards: BTreeSet<String>,
}

impl Words {
    fn of(text: &Text, patterns: &Patterns) -> Self {
        // The first and last words of lines may be halves; what stands between is whole.
        let inner = text.content.lines().flat_map(|l| {
            let words: Vec<&str> = l.split_whitespace().collect();
            words
                .get(1..words.len().saturating_sub(1))
                .unwrap_or_default()
                .to_vec()
        });
        let held = patterns
            .wording
            .iter()
            .flat_map(|w| w.file.text.split_whitespace());
        let forwards: BTreeSet<String> = inner
            .chain(held)
            .flat_map(|w| w.split('-'))
            .map(bare)
            .filter(|w| !w.is_empty())
            .collect();
        let backwards = forwards.iter().map(|w| w.chars().rev().collect()).collect();
        Self {
            forwards,
            backwards,
        }
    }

    /// Whether the word is none itself and some known one begins with it.
    fn begins_with(&self, word: &str) -> bool {
        Self::goes_on(&self.forwards, &bare(word))
    }

    /// Whether the word is none itself and some known one ends with it.
    fn ends_with(&self, word: &str) -> bool {
        let turned: String = bare(word).chars().rev().collect();
        Self::goes_on(&self.backwards, &turned)
    }

    fn goes_on(words: &BTreeSet<String>, half: &str) -> bool {
        half.len() > 1
            && words
                .range(half.to_owned()..)
                .next()
                .is_some_and(|w| w.starts_with(half) && w != half)
            && !words.contains(half)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::DefectKind;

    fn understood(words: &str) -> Letter {
        let patterns = Patterns::embedded().expect("the embedded patterns");
        crate::understand(&Text::verbatim(words), &patterns)
    }

    fn found(words: &str, kind: DefectKind) -> Vec<Detail> {
        understood(words)
            .findings
            .into_iter()
            .filter(|d| d.kind() == kind)
            .map(|d| d.detail)
            .collect()
    }

    #[test]
    fn a_missing_page_is_told_with_its_place() {
        let words = "Page 1 of 3\n(1) One is here.\nPage 3 of 3\n(2) Two is here.";
        assert_eq!(
            found(words, DefectKind::MissingPage),
            [Detail::PageMissing {
                page: 2,
                of: 3,
                behind: Some(1)
            }]
        );
        let whole = "Page 1 of 2\n(1) One is here.\nPage 2 of 2\n(2) Two is here.";
        assert!(found(whole, DefectKind::MissingPage).is_empty());
    }

    #[test]
    fn a_clause_that_ends_with_its_page_is_cut() {
        let head = "(1) The first rule is this one.\n(2) The second rule is this one.\n(3) The third rule is this one.\n";
        let said = |words: &str| {
            let mut text = Text::verbatim(words);
            let from = words.find("(5)").unwrap_or(words.len());
            for anchor in text.anchors.iter_mut().filter(|a| a.at >= from) {
                anchor.page = 2;
            }
            let patterns = Patterns::embedded().expect("the embedded patterns");
            crate::understand(&text, &patterns)
                .findings
                .into_iter()
                .filter(|d| d.kind() == DefectKind::Cut)
                .count()
        };
        let cut = format!(
            "{head}(4) The owner has to keep the records of each flight\n(5) The fifth rule."
        );
        assert_eq!(said(&cut), 1);
        let whole = format!(
            "{head}(4) The owner has to keep the records of each flight.\n(5) The fifth rule."
        );
        assert_eq!(said(&whole), 0);
        // in the middle of a page a clause may lack its stop
        let loose = format!(
            "{head}(4) The owner has to keep the records of each flight\n(6) The sixth rule."
        );
        assert_eq!(said(&loose), 0);
    }

    #[test]
    fn a_page_that_counts_otherwise_is_of_another_document() {
        let words = "Page 1 of 2\n(1) One.\nPage 4 of 7\nThe engine is to be greased.\nPage 2 of 2\n(2) Two.";
        let said = found(words, DefectKind::OtherDocument);
        assert_eq!(
            said,
            [Detail::OtherCount {
                source: 0,
                page: 1,
                number: 4,
                of: 7,
                usual: 2
            }]
        );
        assert!(found(words, DefectKind::MissingPage).is_empty());
        let two = "Page 1 of 2\n(1) One.\nPage 2 of 2\n(2) Two.";
        assert!(found(two, DefectKind::OtherDocument).is_empty());
    }

    #[test]
    fn lines_that_break_off_in_words_lost_a_strip() {
        let whole = [
            "(22) No person may operate this aircraft unless within the preceding twelve",
            "calendar months it has had a condition inspection performed in accordance",
            "with the scope and detail of appendix D to part 43, and was found to be",
            "in a condition for safe operation. As part of the condition inspection,",
            "cockpit instruments must be appropriately marked and needed placards",
            "installed in accordance with § 91.9. In addition, system-essential controls",
            "must be in good condition, securely mounted, clearly marked, and provide",
            "for ease of operation. This inspection will be recorded in the aircraft",
            "maintenance records. Condition inspections are recorded as prescribed here.",
        ];
        assert!(found(&whole.join("\n"), DefectKind::Cut).is_empty());
        // short words, and words with their stop, are whole
        let address = [
            "(4) The person operating this aircraft shall advise each person carried of the",
            "experimental nature of this aircraft.",
            "(5) A parachute shall be worn by the pilot.",
            "(6) Only an appropriately rated mechanic may perform the",
            "condition inspection required by these operating limitations. Papers go",
            "to Sample Madeup (DEMO-00431X), 72 Nowhere Road,",
            "Sampleton.",
        ];
        assert!(found(&address.join("\n"), DefectKind::Cut).is_empty());
        let lost = |edge| Detail::StripLost {
            source: 0,
            page: 1,
            edge,
        };
        // each line has its own length, so the strip takes another part of each last word
        let cut = |n: usize, l: &str| {
            let keep = l.len() - 3 - n % 3;
            l.get(..keep).unwrap_or(l).to_owned()
        };
        let right: Vec<String> = whole.iter().enumerate().map(|(n, l)| cut(n, l)).collect();
        let said = found(&right.join("\n"), DefectKind::Cut);
        assert!(said.contains(&lost(Edge::Right)), "{said:?}");
        let left: Vec<&str> = whole.iter().map(|l| l.get(3..).unwrap_or(l)).collect();
        let said = found(&left.join("\n"), DefectKind::Cut);
        assert!(said.contains(&lost(Edge::Left)), "{said:?}");
    }
}
