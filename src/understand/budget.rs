//! How much a text may ask of the stages that understand it.
//!
//! The time grows with the text and not with its square; these bounds keep it within seconds, and a
//! text made to be slow from being slower. No letter of operating limitations comes near them: one
//! of ten pages has a hundred clauses, and its longest sentence has two hundred words.

use crate::model::{Clause, Span, TooMuch};
use crate::patterns::Token;

/// Clauses of one text: of forty letters, say, that were put into one file.
const CLAUSES: usize = 4000;
/// Words and marks of one sentence.
const SENTENCE: usize = 5000;
/// Words and marks of a text.
const TOKENS: usize = 300_000;

/// What a text has too much of; then nothing of it is understood.
pub(super) fn exceeded(
    tokens: &[Token],
    clauses: &[Clause],
    sentences: &[Span],
) -> Option<TooMuch> {
    if tokens.len() > TOKENS {
        return Some(TooMuch::Words(tokens.len()));
    }
    if clauses.len() > CLAUSES {
        return Some(TooMuch::Clauses(clauses.len()));
    }
    let longest = longest(tokens, sentences);
    (longest > SENTENCE).then_some(TooMuch::Sentence(longest))
}

/// Tokens of the longest sentence; both come in the order of the text.
fn longest(tokens: &[Token], sentences: &[Span]) -> usize {
    let mut longest = 0;
    let mut left = tokens;
    for sentence in sentences {
        let before = left.partition_point(|t| t.span.start < sentence.start);
        left = left.get(before..).unwrap_or_default();
        let within = left.partition_point(|t| t.span.start < sentence.end);
        longest = longest.max(within);
        left = left.get(within..).unwrap_or_default();
    }
    longest
}

#[cfg(test)]
mod tests {
    use crate::model::{Note, Question, Text, Verdict};
    use crate::patterns::Patterns;

    #[test]
    fn what_is_too_much_is_told_and_nothing_is_certain() {
        let patterns = Patterns::embedded().expect("the embedded patterns");
        let list = "(1) Only a mechanic may perform the condition inspection.\n";
        let question = Question::on(jiff::civil::date(2026, 11, 25));
        for (words, more) in [
            (format!("Operating limitations\n{list}"), false),
            (
                format!("Operating limitations\n{}", list.repeat(100)),
                false,
            ),
            (
                format!("Operating limitations\n{list}{}", "a.\n\n".repeat(4001)),
                true,
            ),
            (format!("{list}{}", "may not ".repeat(2501)), true),
        ] {
            let letter = crate::understand(&Text::verbatim(&words), &patterns);
            let too_much = |n: &Note| matches!(n, Note::TooMuch(_));
            let told = letter.notes.iter().any(too_much);
            assert_eq!(told, more);
            if more {
                let answers = crate::answer(&letter, &question, &patterns);
                let sure = |v| matches!(v, Verdict::Yes | Verdict::Disputed);
                assert!(!answers.iter().any(|a| sure(a.answer)));
            }
        }
    }
}
