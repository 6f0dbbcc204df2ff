//! What a letter calls its aircraft, as printed: for papers that are filled in from it.

use super::labels::{labelled, labels_in, make_of, marks_in, serials_in};
use crate::model::{Letter, Span};
use crate::patterns::{PaperMeaning, Patterns};

/// Longest make and model that is taken for one.
const LONGEST: usize = 60;

/// The aircraft as the letter prints it. `None` where the letter does not say it, and where it says
/// two things: a blank is better than the wrong aircraft.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Named {
    /// Make and model.
    pub(crate) make: Option<String>,
    /// Serial number.
    pub(crate) serial: Option<String>,
    /// Registration mark.
    pub(crate) mark: Option<String>,
}

/// Reads the head of the letter for the make, all of it for number and mark. `content` is the
/// normalized text that `letter` was read from.
pub(crate) fn named(letter: &Letter, content: &str, patterns: &Patterns) -> Named {
    let tokens = patterns.lexicon.tokens(content);
    let whole = Span::new(0, content.len());
    let first = letter.clauses.iter().find(|c| c.number.is_some());
    let head = Span::new(0, first.map_or(content.len(), |c| c.span.start));
    let printed = |span: Span| bare(span.of(content)).to_owned();
    let makes = labelled(
        content,
        &tokens,
        head,
        patterns,
        &PaperMeaning::MakeLabel,
        make_of,
    );
    Named {
        make: make(content, &makes, &labels_in(&tokens, head, patterns)),
        serial: the_one(&serials_in(content, &tokens, whole, patterns)).map(printed),
        mark: the_one(&marks_in(content, whole)).map(printed),
    }
}

/// The place of a value that is everywhere the same.
fn the_one(values: &[(String, Span)]) -> Option<Span> {
    let (value, span) = values.first()?;
    values.iter().all(|(v, _)| v == value).then_some(*span)
}

/// A word without the signs around it.
fn bare(word: &str) -> &str {
    word.trim_matches(|c: char| !c.is_alphanumeric())
}

/// Make and model: of one field, or of a field for each.
fn make(content: &str, fields: &[(String, Span)], labels: &[Span]) -> Option<String> {
    let mut parts: Vec<String> = Vec::new();
    // "Make" is a label within "Make and model:" too; its field is one where the label has ended.
    let fields: Vec<Span> = fields
        .iter()
        .map(|(_, span)| *span)
        .filter(|span| {
            let before = content.get(..span.start).unwrap_or_default();
            before.trim_end().ends_with([':', '.', '#', '|'])
                || before.ends_with("  ")
                || before.ends_with('\t')
        })
        .collect();
    for span in &fields {
        let next = labels.iter().find(|label| label.start > span.start);
        let end = next.map_or(content.len(), |label| label.start);
        let part = field(content.get(span.start..end)?)?;
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    let one_line = |a: Span, b: Span| {
        !content
            .get(a.start..b.start)
            .unwrap_or("\n")
            .contains("\n\n")
    };
    let near = fields.windows(2).all(|two| one_line(two[0], two[1]));
    match parts.as_slice() {
        [one] => Some(one.clone()),
        [make, model] if near => Some(format!("{make} {model}")),
        _ => None,
    }
}

/// What stands in a field: up to a wide gap, a bracket or the end of what was given. Nothing where it
/// runs into a label that is not known: where the value ends before it cannot be told.
fn field(words: &str) -> Option<String> {
    let line = words.lines().next()?;
    let line = line
        .split("  ")
        .next()?
        .split(['(', ';', '\t', '|'])
        .next()?;
    let mut kept: Vec<&str> = Vec::new();
    for word in line.split_whitespace() {
        if word.ends_with(':') {
            return None;
        }
        kept.push(word);
    }
    let said = kept.join(" ");
    let said = said.trim_end_matches([',', '.', ' ', '-']);
    (!said.is_empty() && said.len() <= LONGEST).then(|| said.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named_in(head: &str) -> Named {
        let patterns = Patterns::embedded().expect("the patterns load");
        named(&Letter::default(), head, &patterns)
    }

    fn filled(make: Option<&str>, serial: Option<&str>, mark: Option<&str>) -> Named {
        Named {
            make: make.map(str::to_owned),
            serial: serial.map(str::to_owned),
            mark: mark.map(str::to_owned),
        }
    }

    #[test]
    fn an_aircraft_is_named_as_printed() {
        for (head, want) in [
            (
                "Make and model:   Madeup MU-7 (airplane, two seats)\nSerial number:    DEMO-001   \
                 Registration mark:  N0WHO\n",
                filled(Some("Madeup MU-7"), Some("DEMO-001"), Some("N0WHO")),
            ),
            (
                "MAKE: Placeholder   MODEL: PH-4   SERIAL NO.: DEMO-005   REG. NO.: N0STAO\n",
                filled(Some("Placeholder PH-4"), Some("DEMO-005"), Some("N0STAO")),
            ),
            (
                "MAKE: Placeholder MODEL: PH-4 SERIAL NO.: DEMO-005\n",
                filled(Some("Placeholder PH-4"), Some("DEMO-005"), None),
            ),
            // Where the make ends before a label that is not known is not told.
            (
                "Make: Sampler S-0 Tie-down color: red\n",
                filled(None, None, None),
            ),
            // Two numbers, two marks: which is the aircraft's is not told by guess.
            (
                "Make/model: Sampler S-0\nSerial number: 17\nRegistration N0AAA\n\nSerial number: 18\n\
                 Registration N0BBB\n",
                filled(Some("Sampler S-0"), None, None),
            ),
            ("OPERATING LIMITATIONS\n", filled(None, None, None)),
        ] {
            assert_eq!(named_in(head), want, "{head}");
        }
    }
}
