//! Registration marks, serial numbers and makes in a stretch of text.

use crate::model::Span;
use crate::patterns::{PaperMeaning, Patterns, Token};
use crate::text::registration::{alike, mark_of};

/// Serial numbers of the aircraft; that of an engine is none.
pub(super) fn serials_in(
    content: &str,
    tokens: &[Token],
    within: Span,
    patterns: &Patterns,
) -> Vec<(String, Span)> {
    labelled(
        content,
        tokens,
        within,
        patterns,
        &PaperMeaning::SerialLabel,
        serial_of,
    )
    .into_iter()
    .filter(|(_, span)| {
        let before = content.get(..span.start).unwrap_or_default();
        let line = before
            .rsplit('\n')
            .next()
            .unwrap_or_default()
            .to_lowercase();
        !["engine", "prop", "rotor", "wing", "radio", "parachute"]
            .iter()
            .any(|w| line.contains(w))
    })
    .collect()
}

/// Registration marks in a stretch of text; one that is said to be of the past is none.
pub(super) fn marks_in(content: &str, within: Span) -> Vec<(String, Span)> {
    let mut out: Vec<(String, Span)> = Vec::new();
    for line in lines(content, within) {
        let words = line.of(content);
        let before = out.len();
        let mut at = line.start;
        for word in words.split_inclusive(char::is_whitespace) {
            if let Some(mark) = mark_of(word.trim()) {
                out.push((mark, Span::new(at, at + word.trim_end().len())));
            }
            at += word.len();
        }
        if out.len() > before {
            let words = words.to_lowercase();
            if PAST.iter().any(|w| words.contains(w)) {
                out.truncate(before);
            }
        }
    }
    out
}

/// What says of a mark that it is of the past.
const PAST: [&str; 11] = [
    "formerly",
    "previous",
    "was registered",
    "ex-",
    "change of",
    "changed from",
    "changed to",
    "now registered",
    "re-registered",
    "reregistered",
    "old mark",
];

fn lines(content: &str, within: Span) -> Vec<Span> {
    let mut at = within.start;
    within
        .of(content)
        .split_inclusive('\n')
        .map(|line| {
            let span = Span::new(at, at + line.len());
            at += line.len();
            span
        })
        .collect()
}

/// A serial number, without leading zeros.
fn serial_of(words: &str) -> Option<String> {
    // "certificated for this aircraft by its serial number\n(3) a repairman": the label of the next item
    if words.trim_start().starts_with(['(', '[']) {
        return None;
    }
    let word = words
        .split_whitespace()
        .next()?
        .trim_matches(|c: char| !c.is_alphanumeric());
    let has = word.bytes().any(|b| b.is_ascii_digit());
    let bare: String = alike(word)
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .collect();
    let bare = bare.trim_start_matches('0').to_owned();
    (has && word.len() <= 20).then_some(bare)
}

/// The make, in lower case: up to a wide gap or the next label.
pub(super) fn make_of(words: &str) -> Option<String> {
    let line = words.lines().next()?;
    let line = line.split("  ").find(|p| !p.trim().is_empty())?;
    let line = line.split([';', ',']).next()?;
    // A make is a name. "The card on which this aircraft is entered by make, model and serial
    // number" has none.
    let name = |c: char| c.is_uppercase() || c.is_ascii_digit();
    // In capitals, "BY MAKE, MODEL AND SERIAL NUMBER" looks like one.
    let first = line.split_whitespace().next();
    let goes_on = first.is_some_and(|word| word.eq_ignore_ascii_case("and"));
    if goes_on || !line.contains(name) {
        return None;
    }
    let mut kept: Vec<String> = Vec::new();
    for word in line.split_whitespace() {
        if word.ends_with(':') || kept.len() == 4 {
            break;
        }
        kept.push(
            word.trim_matches(|c: char| !c.is_alphanumeric())
                .to_lowercase(),
        );
    }
    kept.retain(|w| w.len() > 1);
    (!kept.is_empty()).then(|| kept.join(" "))
}

/// Every label of a field, in order.
pub(super) fn labels_in(tokens: &[Token], within: Span, patterns: &Patterns) -> Vec<Span> {
    let first = tokens.partition_point(|t| t.span.start < within.start);
    let end = tokens.partition_point(|t| t.span.start < within.end);
    let tokens = tokens.get(first..end).unwrap_or_default();
    let mut labels: Vec<Span> = patterns
        .paper
        .labels
        .find(tokens)
        .filter_map(|(range, _)| {
            let last = tokens.get(range.end.checked_sub(1)?)?;
            Some(Span::new(
                tokens.get(range.start)?.span.start,
                last.span.end,
            ))
        })
        .collect();
    labels.sort_unstable();
    labels
}

/// The values that stand behind a label.
pub(super) fn labelled(
    content: &str,
    tokens: &[Token],
    within: Span,
    patterns: &Patterns,
    label: &PaperMeaning,
    value: fn(&str) -> Option<String>,
) -> Vec<(String, Span)> {
    let first = tokens.partition_point(|t| t.span.start < within.start);
    let end = tokens.partition_point(|t| t.span.start < within.end);
    let tokens = tokens.get(first..end).unwrap_or_default();
    let mut out = Vec::new();
    for (range, (_, meaning)) in patterns.paper.labels.find(tokens) {
        if meaning != label {
            continue;
        }
        let at = tokens[range.end - 1].span.end;
        let rest = content.get(at..within.end).unwrap_or_default();
        let words = rest.trim_start_matches([' ', '\t', ':', '.', '#', '-', '|']);
        if words.starts_with('\n') && words.trim_start().is_empty() {
            continue;
        }
        let start = at + (rest.len() - words.len());
        if let Some(value) = value(words) {
            let shown = words.split_whitespace().next().map_or(0, str::len);
            out.push((value, Span::new(start, start + shown)));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{make_of, serial_of};

    #[test]
    fn a_make_is_a_name() {
        assert_eq!(make_of("Dunnock Mk 2, serial 7"), Some("dunnock mk".into()));
        assert_eq!(make_of("and serial number"), None);
        assert_eq!(make_of("AND SERIAL NUMBER."), None);
    }

    #[test]
    fn a_serial_number_is_no_label_of_a_list() {
        assert_eq!(serial_of("(3) a repairman"), None);
        assert_eq!(serial_of("0029"), Some("29".into()));
    }
}
