//! Which words of a paper were read well enough for what they say to be a fact.

use crate::model::{Found, PageNote, ReadNoteKind, Span, Text};

/// Whether a word cannot be relied on: it was read with doubt, or the page that it stands on is
/// damaged, so that it may be another one however surely it was read.
pub(super) fn is_doubtful(text: &Text, span: Span) -> bool {
    let weak = |d: &crate::model::Doubt| {
        d.confidence < crate::model::Doubt::CERTAIN && d.span.overlaps(span)
    };
    text.doubts.iter().any(weak) || is_damaged(text, text.place(span.start).page)
}

/// Whether a page of that number is damaged; of several files any may be meant.
fn is_damaged(text: &Text, number: u32) -> bool {
    text.notes.iter().any(|n| match &n.kind {
        ReadNoteKind::Page { page, note } => {
            *page == number && matches!(note, PageNote::BreaksOff(_) | PageNote::Broken)
        }
        ReadNoteKind::File(_) => false,
    })
}

/// What was found, without its value where every word that says it is doubtful.
pub(super) fn unless_doubtful<T>(mut found: Found<T>, text: &Text) -> Found<T> {
    if found.evidence.iter().all(|s| is_doubtful(text, *s)) {
        found.value = None;
        // several without a value would be words that contradict one another
        found.evidence.truncate(1);
    }
    found
}

#[cfg(test)]
mod tests {
    use crate::model::{Doubt, Letter, PageNote, ReadNote, Span, Text, Torn};
    use crate::patterns::Patterns;

    const LETTER: &str = "Experimental operating limitations\nAmateur-built, 14 CFR 21.191(g). Issued May 14, 2008.\n(1) No person may operate this aircraft unless within the preceding 12 calendar months it has had a condition inspection.\n(2) Only an FAA-certificated mechanic may perform the condition inspection.";

    /// The letter with words that were read so surely.
    fn read(letter: &str, weak: &[(&str, f32)], notes: Vec<ReadNote>) -> Letter {
        let patterns = Patterns::embedded().expect("the embedded patterns");
        let mut text = Text::verbatim(letter);
        text.ocr = vec![Span::new(0, letter.len())];
        text.notes = notes;
        for (word, confidence) in weak {
            let start = letter.find(word).expect("it is there");
            text.doubts.push(Doubt {
                span: Span::new(start, start + word.len()),
                confidence: *confidence,
                meant: None,
            });
        }
        crate::understand(&crate::read::correct(text, &patterns), &patterns)
    }

    fn basis(letter: &Letter) -> Option<char> {
        letter.basis.value.map(|b| b.letter)
    }

    #[test]
    fn words_read_with_doubt_tell_a_basis_only_where_others_say_the_same() {
        for (weak, expected) in [
            (vec![], Some('g')),
            (vec![("21.191(g)", 0.9)], Some('g')),
            (vec![("21.191(g)", 0.4)], Some('g')),
            (vec![("Amateur-built", 0.4)], Some('g')),
            (vec![("Amateur-built", 0.4), ("21.191(g)", 0.4)], None),
        ] {
            assert_eq!(
                basis(&read(LETTER, &weak, Vec::new())),
                expected,
                "{weak:?}"
            );
        }
        let misread = LETTER.replace("21.191(g)", "21.191(a)");
        for weak in [vec![], vec![("21.191(a)", 0.4)]] {
            assert_eq!(basis(&read(&misread, &weak, Vec::new())), None, "{weak:?}");
        }
    }

    #[test]
    fn a_day_read_with_doubt_is_none() {
        assert!(read(LETTER, &[], Vec::new()).issued.value.is_some());
        let weak = read(LETTER, &[("2008", 0.6)], Vec::new());
        assert_eq!(weak.issued.value, None);
        assert_eq!(weak.issued.evidence.len(), 1);
    }

    #[test]
    fn a_damaged_page_tells_no_fact() {
        let torn = |page| ReadNote::page_note(page, PageNote::BreaksOff(Torn::Picture));
        let letter = read(LETTER, &[], vec![torn(1)]);
        assert_eq!((basis(&letter), letter.issued.value), (None, None));
        let letter = read(LETTER, &[], vec![torn(2)]);
        assert_eq!(basis(&letter), Some('g'));
        assert!(letter.issued.value.is_some());
    }
}
