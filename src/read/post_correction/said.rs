//! What a person read on the picture or on the paper, in place of what OCR read.

use super::super::chars;
use super::{Edit, Moved, moved, note, shown};
use crate::model::{PageNote, ReadNote, Span, Text};

/// Characters that a person may put in place of a word.
const MOST: usize = 120;

/// Words that a person read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// The piece of the text that the person looked at.
    pub span: Span,
    /// What it says.
    pub words: String,
}

/// The text with what a person read in it: no longer doubted, and told in a note each.
#[must_use]
pub fn said(mut text: Text, said: &[Said]) -> Text {
    let mut edits: Vec<Edit> = said
        .iter()
        .filter_map(|s| {
            let words: String = s.words.chars().take(MOST).collect();
            let new = chars::clean(&words.replace(['\n', '\r', '\u{c}'], " "));
            let within = text.content.get(s.span.start..s.span.end).is_some();
            (within && !new.is_empty()).then_some(Edit {
                span: s.span,
                new,
                blank: false,
            })
        })
        .collect();
    edits.sort_by_key(|e| (e.span.start, e.span.end));
    text.doubts
        .retain(|d| !edits.iter().any(|e| e.span.overlaps(d.span)));
    let Moved {
        mut text,
        old,
        done,
    } = moved(text, &edits, Vec::new());
    let notes: Vec<ReadNote> = done
        .iter()
        .map(|(edit, now)| {
            let place = text.place(now.start);
            let by_person = PageNote::ByPerson {
                line: place.line,
                read: shown(edit.span.of(&old)),
                person: shown(&edit.new),
            };
            note(&text, (place.source, place.page), by_person)
        })
        .collect();
    text.notes.extend(notes);
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Doubt, Seen};

    #[test]
    fn what_a_person_read_stands_in_the_text_and_is_told() {
        let read = "A certificated mechanlc may perform it, or a repairman.";
        let mut text = Text::verbatim(read);
        let span = |word: &str| {
            let start = read.find(word).expect("it is there");
            Span::new(start, start + word.len())
        };
        for word in ["mechanlc", "repairman"] {
            text.doubts.push(Doubt {
                span: span(word),
                confidence: 0.4,
                meant: None,
            });
        }
        text.seen.push(Seen {
            span: span("repairman"),
            source: 0,
            page: 1,
            x: 1,
            y: 1,
            width: 9,
            height: 9,
        });
        let corrected = said(
            text,
            &[Said {
                span: span("mechanlc"),
                words: " head mechanic\n".into(),
            }],
        );
        assert_eq!(
            corrected.content,
            "A certificated head mechanic may perform it, or a repairman."
        );
        assert_eq!(corrected.doubts.len(), 1);
        assert_eq!(corrected.doubts[0].span.of(&corrected.content), "repairman");
        assert_eq!(corrected.seen[0].span.of(&corrected.content), "repairman");
        let by_person = PageNote::ByPerson {
            line: 1,
            read: "mechanlc".to_owned(),
            person: "head mechanic".to_owned(),
        };
        assert_eq!(corrected.notes, [ReadNote::page_note(1, by_person)]);
    }
}
