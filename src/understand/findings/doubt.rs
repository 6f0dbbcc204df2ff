//! Words that decide and were read with doubt: what rests on them is doubtful.

use std::collections::BTreeMap;

use crate::document::tree::whole;
use crate::model::{Defect, Detail, Doubt, InspectorRule, Letter, RuleDoubt, Span, Text};
use crate::patterns::Patterns;

/// Doubts the rules that rest on doubtful words, and adds a doubtful rule where a clause may be
/// one that names inspectors and was not understood as such because of the word.
pub(super) fn words(letter: &mut Letter, text: &Text, patterns: &Patterns) {
    let doubts: Vec<&Doubt> = text
        .doubts
        .iter()
        .filter(|d| d.confidence < Doubt::CERTAIN)
        .collect();
    if doubts.is_empty() {
        return;
    }
    let mut defects = Vec::new();
    let grounds = grounds(letter);
    for (rule, ground) in letter.inspectors.iter_mut().zip(&grounds) {
        let worst = doubts
            .iter()
            .filter(|d| rests(rule, *ground, d))
            .min_by(|a, b| a.confidence.total_cmp(&b.confidence));
        if let Some(doubt) = worst {
            rule.doubt = Some(in_doubt(doubt));
            defects.push(defect(rule.clause, doubt));
        }
    }
    let mut overlooked = Vec::new();
    // A word that cannot be told may be the one that says of which inspection a clause speaks: then
    // another clause is not alone in what it says.
    let spoilt = doubts.iter().find(|d| {
        d.is_spoilt()
            && letter
                .inspectors
                .iter()
                .zip(&grounds)
                .any(|(rule, ground)| rests(rule, *ground, d))
    });
    if let Some(spoilt) = spoilt {
        for rule in &mut letter.inspectors {
            rule.doubt.get_or_insert_with(|| in_doubt(spoilt));
        }
    }
    let mut seen = BTreeMap::new();
    for doubt in &doubts {
        if let Some(clause) = may_name_inspectors(letter, text, doubt, patterns, &mut seen)
            && !overlooked
                .iter()
                .any(|r: &InspectorRule| r.clause == clause)
        {
            defects.push(defect(clause, doubt));
            overlooked.push(unknown(letter, clause, doubt));
        }
    }
    for doubt in illegible(text, &doubts, letter, patterns) {
        if let Some(clause) = clause_of(letter, doubt.span)
            && !overlooked.iter().any(|r| r.clause == clause)
        {
            defects.push(defect(clause, doubt));
            overlooked.push(unknown(letter, clause, doubt));
        }
    }
    letter.inspectors.extend(overlooked);
    letter.inspectors.sort_by_key(|r| r.clause);
    letter.findings.extend(defects);
}

/// A clause of which nothing is known but that it may say who inspects.
fn unknown(letter: &Letter, clause: usize, doubt: &Doubt) -> InspectorRule {
    let body = letter.clauses[clause].body;
    InspectorRule::unread(clause, body, doubt.span, in_doubt(doubt))
}

/// Below this confidence a word that is none is a guess.
const GUESS: f32 = 0.5;
/// With so many guesses a sentence says what nobody knows.
const GUESSES: usize = 3;
/// Bytes to either side of a word within which its sentence is looked for.
const NEAR: usize = 1000;

/// The worst word of each sentence that speaks of an inspection, was not understood, and can hardly be
/// read: under a stain or a fold, or in a damaged picture.
fn illegible<'d>(
    text: &Text,
    doubts: &[&'d Doubt],
    letter: &Letter,
    patterns: &Patterns,
) -> Vec<&'d Doubt> {
    let content = text.content.as_str();
    let is_guess = |d: &Doubt| {
        let word = d
            .span
            .of(content)
            .trim_matches(|c: char| !c.is_alphanumeric());
        let is_word = word.chars().filter(|c| c.is_alphabetic()).count() > 1;
        d.confidence < GUESS && is_word && !patterns.slip.known.contains(&word.to_lowercase())
    };
    let mut sentences: BTreeMap<usize, (Span, Vec<&'d Doubt>)> = BTreeMap::new();
    for &doubt in doubts.iter().filter(|d| is_guess(d)) {
        let span = sentence(content, doubt.span);
        let held = sentences.entry(span.start).or_insert((span, Vec::new()));
        held.1.push(doubt);
    }
    sentences
        .into_values()
        .filter(|(span, guesses)| {
            guesses.len() >= GUESSES
                && words_of(content, *span).any(|word| inspects(&word))
                && !letter.inspectors.iter().any(|r| r.span.overlaps(*span))
        })
        .filter_map(|(_, guesses)| {
            guesses
                .into_iter()
                .min_by(|a, b| a.confidence.total_cmp(&b.confidence))
        })
        .collect()
}

/// The sentence around a word, as far as dots and blank lines tell.
pub(super) fn sentence(content: &str, word: Span) -> Span {
    let from = content.floor_char_boundary(word.start.saturating_sub(NEAR));
    let to = content.floor_char_boundary((word.end + NEAR).min(content.len()));
    let (before, behind) = (&content[from..word.start], &content[word.end..to]);
    let ends = [". ", ".\n", "\n\n"];
    let start = ends.iter().filter_map(|end| before.rfind(end)).max();
    let end = ends.iter().filter_map(|end| behind.find(end)).min();
    Span::new(
        start.map_or(from, |at| from + at + 1),
        end.map_or(to, |at| word.end + at),
    )
}

/// The doubtful words on which some statement about inspectors rests, in the order of the text.
#[must_use]
pub fn deciding_doubts<'t>(letter: &Letter, text: &'t Text) -> Vec<&'t Doubt> {
    let grounds = grounds(letter);
    text.doubts
        .iter()
        .filter(|d| d.confidence < Doubt::CERTAIN)
        .filter(|d| {
            letter
                .inspectors
                .iter()
                .zip(&grounds)
                .any(|(rule, ground)| rests(rule, *ground, d))
        })
        .collect()
}

/// For each rule, the clause that it stands in, with everything below.
fn grounds(letter: &Letter) -> Vec<Span> {
    letter
        .inspectors
        .iter()
        .map(|r| whole(&letter.clauses, r.clause).unwrap_or(r.span))
        .collect()
}

/// Whether a rule rests on a doubtful word.
fn rests(rule: &InspectorRule, ground: Span, doubt: &Doubt) -> bool {
    doubt.span.overlaps(rule.span) && rule.evidence.iter().any(|e| e.overlaps(doubt.span))
        || (doubt.meant.is_some() || doubt.is_spoilt()) && doubt.span.overlaps(ground)
}

/// What the words of a clause and of all below it speak of.
#[derive(Clone, Copy)]
struct Speaks {
    inspects: bool,
    person: bool,
    /// Some statement about inspectors was understood there.
    understood: bool,
}

fn speaks(letter: &Letter, text: &Text, top: usize, patterns: &Patterns) -> Option<Speaks> {
    let span = whole(&letter.clauses, top)?;
    let mut speaks = Speaks {
        inspects: false,
        person: false,
        understood: letter.inspectors.iter().any(|r| r.span.overlaps(span)),
    };
    for word in words_of(&text.content, span) {
        speaks.inspects |= inspects(&word);
        speaks.person |= patterns.slip.persons.contains(&word);
    }
    Some(speaks)
}

/// The words of a passage in lower case.
fn words_of(content: &str, span: Span) -> impl Iterator<Item = String> {
    let words = span.of(content).split(|c: char| !c.is_alphanumeric());
    words.map(str::to_lowercase)
}

pub(super) fn inspects(word: &str) -> bool {
    word.starts_with("inspect")
}

/// The clause that a passage stands in, without a parent: an item of a list belongs to the clause that
/// leads it in.
pub(super) fn clause_of(letter: &Letter, span: Span) -> Option<usize> {
    let begun = letter
        .clauses
        .partition_point(|c| c.span.start <= span.start);
    let mut top = letter.clauses[..begun]
        .iter()
        .rposition(|c| span.start < c.span.end)?;
    while let Some(parent) = letter.clauses.get(top)?.parent {
        top = parent;
    }
    Some(top)
}

/// The clause of a word that is not what it was read as, if the clause speaks of an inspection,
/// names no inspector that was understood, and would with that word.
fn may_name_inspectors(
    letter: &Letter,
    text: &Text,
    doubt: &Doubt,
    patterns: &Patterns,
    seen: &mut BTreeMap<usize, Option<Speaks>>,
) -> Option<usize> {
    let spoilt = doubt.is_spoilt();
    let meant = doubt.meant.as_deref().or(spoilt.then_some(""))?;
    let content = &text.content;
    if doubt.span.of(content).eq_ignore_ascii_case(meant) {
        return None;
    }
    let top = clause_of(letter, doubt.span)?;
    let speaks = (*seen
        .entry(top)
        .or_insert_with(|| speaks(letter, text, top, patterns)))?;
    if speaks.understood {
        return None;
    }
    let person = |w: &str| patterns.slip.persons.contains(w);
    let names = speaks.person || meant.split(' ').any(person);
    // a word that cannot be told may be the one that is missing
    let enough = if spoilt {
        speaks.inspects || names || may_be_inspection(doubt.span.of(content))
    } else {
        speaks.inspects && names
    };
    enough.then_some(top)
}

/// Whether a word with signs that no word has may be «inspection».
fn may_be_inspection(word: &str) -> bool {
    let mut left = "inspections";
    let pieces: Vec<String> = word
        .split(|c: char| !c.is_ascii_alphabetic())
        .filter(|p| !p.is_empty())
        .map(str::to_ascii_lowercase)
        .collect();
    pieces.iter().map(String::len).sum::<usize>() > 3
        && pieces.iter().all(|piece| match left.find(piece.as_str()) {
            Some(at) => {
                left = left.get(at + piece.len()..).unwrap_or_default();
                true
            }
            None => false,
        })
}

fn in_doubt(doubt: &Doubt) -> RuleDoubt {
    RuleDoubt::Word {
        span: doubt.span,
        meant: doubt.meant.clone(),
    }
}

fn defect(clause: usize, doubt: &Doubt) -> Defect {
    Defect {
        detail: Detail::DoubtfulWord {
            meant: doubt.meant.clone(),
        },
        clauses: vec![clause],
        span: Some(doubt.span),
    }
}

#[cfg(test)]
mod tests {
    use crate::model::{Detail, Doubt, Span, Text};
    use crate::patterns::Patterns;

    const LETTER: &str = "Operating limitations\n(22) No person may operate this aircraft unless within the preceding 12 calendar months it has had a condition inspection.\n(23) Condition inspections must be recorded.\n(26) An experimental aircraft builder certificated as a repairman or an appropriately rated FAA-certificated mechanic may perform the condition inspection.";

    fn understood(read: &str, weak: Option<(&str, f32)>) -> crate::model::Letter {
        let patterns = Patterns::embedded().expect("the embedded patterns");
        let mut text = Text::verbatim(read);
        text.ocr = vec![Span::new(0, read.len())];
        if let Some((word, confidence)) = weak {
            let start = read.find(word).expect("it is there");
            text.doubts.push(Doubt {
                span: Span::new(start, start + word.len()),
                confidence,
                meant: None,
            });
        }
        crate::understand(&crate::read::correct(text, &patterns), &patterns)
    }

    /// The doubtful words, with what they may be.
    fn doubted(letter: &crate::model::Letter) -> Vec<(Span, Option<&str>)> {
        letter
            .findings
            .iter()
            .filter_map(|d| match &d.detail {
                Detail::DoubtfulWord { meant } => Some((d.span?, meant.as_deref())),
                _ => None,
            })
            .collect()
    }

    #[test]
    fn a_letter_read_well_has_no_doubts() {
        let letter = understood(LETTER, None);
        assert!(doubted(&letter).is_empty(), "{:?}", doubted(&letter));
        assert!(letter.inspectors.iter().all(|r| r.doubt.is_none()));
    }

    #[test]
    fn a_person_read_as_no_word_is_named_with_place_and_meaning() {
        for (from, to) in [
            ("mechanic", "mechanlc"),
            ("repairman", "repairrnan"),
            ("builder", "bui1der"),
            ("mechanic may", "mechanic rnay"),
            ("mechanic", "meic"),
            ("certificated mechanic may", "certificated may"),
        ] {
            let letter = understood(&LETTER.replace(from, to), None);
            let said = doubted(&letter);
            let clause = LETTER.find("(26)").expect("it is there");
            assert!(
                said.iter()
                    .any(|(span, meant)| span.start > clause && meant.is_some()),
                "{to}: {said:?}"
            );
            assert!(letter.inspectors.iter().any(|r| r.doubt.is_some()), "{to}");
        }
    }

    #[test]
    fn a_weak_word_that_decides_is_doubted_and_another_is_not() {
        let letter = understood(LETTER, Some(("mechanic", 0.4)));
        assert_eq!(doubted(&letter).len(), 1);
        for (word, confidence) in [("recorded", 0.3), ("mechanic", 0.85), ("operate", 0.4)] {
            let letter = understood(LETTER, Some((word, confidence)));
            assert!(
                doubted(&letter).is_empty(),
                "{word}: {:?}",
                doubted(&letter)
            );
        }
    }

    #[test]
    fn a_clause_that_can_hardly_be_read_is_not_passed_over() {
        let read = format!(
            "{LETTER}\n(27) AHTAA Cerunicated mechiarnc wit airrame and powerpianicratings may poron the condition inspection."
        );
        let weak = |words: &[&str], confidence: f32| {
            let patterns = Patterns::embedded().expect("the embedded patterns");
            let mut text = Text::verbatim(&read);
            text.ocr = vec![Span::new(0, read.len())];
            for word in words {
                let start = read.find(word).expect("it is there");
                text.doubts.push(Doubt {
                    span: Span::new(start, start + word.len()),
                    confidence,
                    meant: None,
                });
            }
            let mut letter = crate::understand(&text, &patterns);
            // words that are none are doubted however well they were read
            letter.inspectors.retain(|r| r.doubt.is_none());
            super::words(&mut letter, &text, &patterns);
            letter
                .inspectors
                .iter()
                .any(|r| r.doubt.is_some() && r.evidence.iter().any(|e| e.of(&read) == words[0]))
        };
        assert!(weak(&["AHTAA", "Cerunicated", "airrame", "poron"], 0.2));
        assert!(!weak(&["AHTAA", "Cerunicated", "airrame", "poron"], 0.8));
        assert!(!weak(&["AHTAA", "poron"], 0.2));
    }

    #[test]
    fn a_lost_not_is_doubted_though_no_rule_rests_on_it() {
        let read = LETTER.replace("mechanic may perform", "mechanic may nol perform");
        let letter = understood(&read, Some(("nol", 0.6)));
        assert!(
            doubted(&letter).iter().any(|d| d.1 == Some("not")),
            "{:?}",
            doubted(&letter)
        );
    }

    #[test]
    fn a_clause_that_is_no_list_only_because_of_a_slip_is_doubted() {
        let read = LETTER.replace(
            "An experimental aircraft builder certificated as a repairman or an appropriately rated FAA-certificated mechanic may",
            "An appropriately rated FAA-certificated mechanlc may",
        );
        let letter = understood(&read, None);
        assert!(
            letter.inspectors.iter().any(|r| r.doubt.is_some()),
            "{:?}",
            letter.inspectors
        );
    }

    #[test]
    fn a_person_that_the_scan_lost_shuts_nobody_out() {
        use crate::model::{Kind, Question, Verdict};
        let patterns = Patterns::embedded().expect("the embedded patterns");
        let question = Question::on(jiff::civil::date(2026, 11, 25));
        for (from, to) in [
            ("mechanic", "meic"),
            ("FAA-certificated mechanic may", "FAA-certificated may"),
            (
                "builder certificated as a repairman or an appropriately rated FAA-certificated mechanic may",
                "appropriately rated may",
            ),
        ] {
            let read = LETTER.replace(from, to);
            assert_ne!(read, LETTER);
            let letter = understood(&read, None);
            let answers = crate::answer(&letter, &question, &patterns);
            let mechanic = answers.iter().find(|a| a.holder == Kind::Mechanic);
            assert_eq!(
                mechanic.map(|a| a.answer),
                Some(Verdict::Undetermined),
                "{to}: {letter:#?}"
            );
        }
        // the words say of whom they are said: nothing is lost
        let whole = LETTER.replace(
            "an appropriately rated FAA-certificated mechanic may",
            "a mechanic who is appropriately rated may",
        );
        assert!(doubted(&understood(&whole, None)).is_empty());
    }
}
