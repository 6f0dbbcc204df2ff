//! Sentences of which several words are none: together they may have been the words that say who
//! inspects.
//!
//! One misspelled word is met by the grammar, which doubts the sentence that it stands in. Two can
//! hide both the person and the deed, or both halves of the name of the inspection, and then nothing
//! is left by which the sentence could be known for one on who inspects. But sound letters hold words
//! that no list knows, too: what is none has to look like such a word, or stand in its place.

use crate::model::{Clause, Defect, Detail, InspectorRule, Letter, RuleDoubt, Span};
use crate::patterns::{Patterns, Token, TokenKind};

use super::doubt::{clause_of, inspects, sentence};

/// Of a word that was meant, one letter in so many may be wrong.
const PART: usize = 3;
/// The same of a word that looks like many others: "ignition" is no "condition".
const SMALL_PART: usize = 4;
/// Shorter words are near too many others.
const SHORT: usize = 5;
/// Endings of words that are known without them.
const ENDINGS: [&str; 7] = ["s", "es", "ed", "d", "ing", "ly", "'s"];
/// Behind these stands the deed.
const MODALS: [&str; 6] = ["may", "must", "shall", "will", "can", "should"];
/// And behind the deed, up to the word for what is done, so many words at most.
const OBJECT: usize = 4;
/// With these begins what is done.
const ARTICLES: [&str; 8] = ["the", "a", "an", "each", "every", "any", "this", "such"];
/// The name of the inspection, of which one half alone is met by the grammar.
const NAME: [&str; 2] = ["condition", "inspections"];

/// Adds a doubtful rule for each clause in which such a sentence stands.
pub(super) fn sentences(
    letter: &mut Letter,
    content: &str,
    tokens: &[Token],
    left_out: &[Span],
    patterns: &Patterns,
) {
    let mut found: Vec<(usize, Span)> = Vec::new();
    let mut read_to = 0;
    for token in tokens.iter().filter(|t| is_none(t, content, patterns)) {
        if token.span.start < read_to {
            continue;
        }
        let span = sentence(content, token.span);
        read_to = span.end.max(token.span.end);
        let first = tokens.partition_point(|t| t.span.start < span.start);
        let end = tokens.partition_point(|t| t.span.start < span.end);
        let words = Words {
            content,
            tokens: tokens.get(first..end).unwrap_or_default(),
            patterns,
        };
        if !letter.inspectors.iter().any(|r| r.span.overlaps(span))
            && !left_out.iter().any(|part| part.overlaps(span))
            && words.may_say_who()
            && let Some(clause) = clause_of(letter, token.span)
            && is_counted(letter, clause)
        {
            found.push((clause, token.span));
        }
    }
    found.dedup_by_key(|(clause, _)| *clause);
    for (clause, span) in found {
        letter.findings.push(Defect {
            detail: Detail::DoubtfulWord { meant: None },
            clauses: vec![clause],
            span: Some(span),
        });
        letter.inspectors.push(InspectorRule::unread(
            clause,
            letter.clauses[clause].body,
            span,
            RuleDoubt::Word { span, meant: None },
        ));
    }
    letter.inspectors.sort_by_key(|r| r.clause);
}

/// Where clauses have numbers, a paragraph without one is a heading, a lead-in, a signature.
fn is_counted(letter: &Letter, clause: usize) -> bool {
    let numbered = |c: &Clause| c.number.is_some() || c.item.is_some();
    letter.clauses.get(clause).is_some_and(numbered) || !letter.clauses.iter().any(numbered)
}

/// Whether a token is a word that nobody knows.
fn is_none(token: &Token, content: &str, patterns: &Patterns) -> bool {
    if token.kind != TokenKind::Word || token.word != 0 {
        return false;
    }
    let lower = token.span.of(content).to_lowercase();
    let knows =
        |word: &str| patterns.lexicon.number(word) != 0 || patterns.slip.known.contains(word);
    let known = |ending: &&str| lower.strip_suffix(*ending).is_some_and(knows);
    lower.chars().count() > 1 && !knows(&lower) && !ENDINGS.iter().any(known)
}

/// The words of a sentence.
struct Words<'t> {
    content: &'t str,
    tokens: &'t [Token],
    patterns: &'t Patterns,
}

impl Words<'_> {
    fn word(&self, at: usize) -> String {
        let token = self.tokens.get(at);
        token.map_or_else(String::new, |t| t.span.of(self.content).to_lowercase())
    }

    fn is_none(&self, at: usize) -> bool {
        let token = self.tokens.get(at);
        token.is_some_and(|t| is_none(t, self.content, self.patterns))
    }

    /// Whether a word that is none and looks like one that was lost, or stands in its place, leaves
    /// the sentence one on who inspects.
    fn may_say_who(&self) -> bool {
        let slips = &self.patterns.slip;
        let all = || 0..self.tokens.len();
        if !all().any(|at| slips.deciding.contains(&self.word(at))) {
            return false;
        }
        let strange: Vec<usize> = all().filter(|&at| self.is_none(at)).collect();
        let like = |at: usize, meant: &str| is_near(&self.word(at), meant, PART);
        let half = |at: usize| is_near(&self.word(at), NAME[0], SMALL_PART) && self.is_none(at + 1);
        let lost = strange.iter().any(|&at| like(at, NAME[1]) || half(at));
        let person = all().any(|at| slips.persons.contains(&self.word(at)));
        let like_person = strange
            .iter()
            .any(|&at| slips.persons.iter().any(|p| like(at, p)));
        if lost {
            return person || like_person || strange.len() > 1;
        }
        strange.len() > 1
            && (like_person && all().any(|at| inspects(&self.word(at)))
                || strange.iter().any(|&at| self.is_deed(at)))
    }

    /// Whether a verb may stand there whose object is an inspection.
    fn is_deed(&self, at: usize) -> bool {
        let modal = at.checked_sub(1).map(|before| self.word(before));
        modal.is_some_and(|m| MODALS.contains(&m.as_str()))
            && ARTICLES.contains(&self.word(at + 1).as_str())
            && (at + 2..=at + OBJECT).any(|object| inspects(&self.word(object)))
    }
}

/// Whether so few letters part two words that the one may be meant by the other.
fn is_near(word: &str, meant: &str, part: usize) -> bool {
    word.len() > SHORT
        && word.len().abs_diff(meant.len()) * part <= meant.len()
        && strsim::levenshtein(word, meant) * part <= meant.len()
}

#[cfg(test)]
mod tests {
    use crate::model::{Kind, Letter, Question, Text, Verdict};
    use crate::patterns::Patterns;

    const LETTER: &str = "EXPERIMENTAL OPERATING LIMITATIONS\n\n(1) No person may operate this aircraft unless within the preceding 12 calendar months it has had a condition inspection.\n\n(2) The builder certificated as a repairman for this aircraft may perform the condition inspection.\n\n(3) An FAA certificated mechanic with airframe and powerplant ratings may perform the condition inspection.\n\n(4) A certificated repair station may not perform the condition inspection.\n";

    fn mechanic(letter: &Letter, patterns: &Patterns) -> Option<Verdict> {
        let question = Question::on(jiff::civil::date(2026, 11, 25));
        let answers = crate::answer(letter, &question, patterns);
        let found = answers.iter().find(|a| a.holder == Kind::Mechanic);
        found.map(|a| a.answer)
    }

    #[test]
    fn two_words_that_are_none_hide_nobody_whom_a_clause_names() {
        let patterns = Patterns::embedded().expect("the embedded patterns");
        let told = |text: &str| {
            let letter = crate::understand(&Text::verbatim(text), &patterns);
            mechanic(&letter, &patterns)
        };
        assert_eq!(told(LETTER), Some(Verdict::Yes));
        let said = "An FAA certificated mechanic with airframe and powerplant ratings may perform the condition inspection.";
        for spoilt in [
            "A mechiarnc may poron the condition inspection.",
            "A mechanic may perform the condtiion insection required by these limitations.",
            "A mechiarnc may perform the condition insection.",
            "A qwxyzzanic may poron the condition inspection.",
        ] {
            let text = LETTER.replace(said, spoilt);
            assert_ne!(text, LETTER);
            assert_eq!(told(&text), Some(Verdict::Undetermined), "{spoilt}");
        }
        // names of makers and of things aboard say nothing of inspectors
        for more in [
            "(5) The Zlorp engine must be overhauled by its manufacturer each 1,000 hours.",
            "(5) The inspection panel of the fuselage must be closed before flight.",
            "(5) The hull and the float compartments must be drained and dried before each condition inspection.",
            "(5) Service-life limited parts must be tracked as the type of engine (reciprocating) requires, under an approved inspection program.",
            "(5) Coolant hoses and ignition modules shall be replaced at intervals set by the builder.",
        ] {
            assert_eq!(
                told(&format!("{LETTER}\n{more}\n")),
                Some(Verdict::Yes),
                "{more}"
            );
        }
    }
}
