//! Quoted text: what stands in a log-entry statement starts no clause.

use crate::model::Span;

/// No statement that a letter quotes is longer.
const LONGEST: usize = 3000;

/// Quotations in double marks, from mark to mark, in order. A mark that nothing closes, or that
/// another opening mark follows, quotes nothing.
pub(in crate::understand) fn quotes(text: &str) -> Vec<Span> {
    let mut found = Vec::new();
    let mut open: Option<usize> = None;
    for (at, byte) in text.bytes().enumerate() {
        // Straight marks are one byte, the others start with E2 80.
        if byte != b'"' && byte != 0xE2 {
            continue;
        }
        let Some(mark) = text
            .get(at..)
            .and_then(|rest| rest.chars().next())
            .filter(|c| matches!(c, '"' | '“' | '”' | '„'))
            .and_then(|c| text.get(at..at + c.len_utf8()))
        else {
            continue;
        };
        let before = text[..at].chars().next_back();
        let after = text[at + mark.len()..].chars().next();
        let spaced_before =
            before.is_none_or(|c| c.is_whitespace() || matches!(c, '(' | '[' | '—'));
        let spaced_after = after.is_none_or(|c| !c.is_alphanumeric());
        let opens = match mark {
            "“" | "„" => true,
            "”" => false,
            _ => spaced_before && !spaced_after_blank(after),
        };
        let closes = match mark {
            "”" => true,
            "“" | "„" => false,
            // An inch mark follows a digit, as a closing mark can.
            _ => !spaced_before && spaced_after,
        };
        if opens {
            open = Some(at);
        } else if closes && let Some(start) = open.take() {
            let end = at + mark.len();
            if end - start <= LONGEST {
                found.push(Span::new(start, end));
            }
        }
    }
    found
}

fn spaced_after_blank(after: Option<char>) -> bool {
    after.is_none_or(char::is_whitespace)
}

/// Whether the byte lies inside one of the spans, which are in order and do not overlap.
pub(in crate::understand) fn inside(spans: &[Span], byte: usize) -> bool {
    spans
        .get(spans.partition_point(|s| s.end <= byte))
        .is_some_and(|s| s.start < byte)
}
