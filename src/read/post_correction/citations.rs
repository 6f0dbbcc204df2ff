//! Figures that were read as letters: in citations and in measures.

use super::vocabulary::Vocabulary;
use super::{Around, Edit};
use crate::model::Span;
use crate::patterns::{Follows, Patterns};

/// The piece with its figures, where that makes it a known citation or a known measure.
pub(super) fn edit(
    chunk: Span,
    around: Around<'_>,
    vocabulary: &Vocabulary<'_>,
    patterns: &Patterns,
) -> Option<Edit> {
    let words = chunk.of(around.content);
    let lead = words.len() - words.trim_start_matches(['(', '[', '"', '§', '$']).len();
    let rest = words.get(lead..)?;
    // "65.1O4(a)", "l2-month"; what stands in brackets may be a letter as well
    let end = rest.find(['(', '-', ')', ']']).unwrap_or(rest.len());
    let core = rest.get(..end)?.trim_end_matches([',', ';', ':', '.']);
    if core.len() < 2 || !core.bytes().any(|b| b.is_ascii_digit()) {
        return None;
    }
    let mut changed = false;
    let corrected: String = core
        .chars()
        .map(|c| {
            if c.is_ascii_digit() || c == '.' {
                return Some(c);
            }
            changed = true;
            digit(c, patterns)
        })
        .collect::<Option<String>>()?;
    // "$91.319", which has no blank
    let dollar = words.get(..lead)?.ends_with('$') && is_section(&corrected, patterns);
    if !changed && !dollar {
        return None;
    }
    let before = around.word_before();
    let after_hyphen = rest.get(end..)?.strip_prefix('-').map(|w| {
        w.trim_matches(|c: char| !c.is_alphanumeric())
            .to_lowercase()
    });
    let measure = || {
        corrected.bytes().all(|b| b.is_ascii_digit())
            && match &after_hyphen {
                Some(next) => {
                    vocabulary.pair(&corrected, next)
                        || vocabulary.pair(&before, &format!("{corrected}-{next}"))
                        || matches!(next.as_str(), "hour" | "hours" | "month" | "months" | "day")
                }
                None => vocabulary.pair(&corrected, &around.word_after()),
            }
    };
    let known = is_section(&corrected, patterns)
        || (["part", "parts"].contains(&before.as_str()) && is_part(&corrected, patterns))
        || (corrected == "14" && ["cfr", "c.f.r"].contains(&around.word_after().as_str()))
        || measure();
    let at = chunk.start + lead;
    if !known {
        return None;
    }
    let (start, new) = if dollar {
        (at - 1, format!("§ {corrected}"))
    } else {
        (at, corrected)
    };
    Some(Edit {
        span: Span::new(start, at + core.len()),
        new,
        blank: false,
    })
}

/// The figure for which a letter was read.
pub(super) fn digit(c: char, patterns: &Patterns) -> Option<char> {
    patterns
        .slip
        .digits
        .iter()
        .find(|(read, _)| *read == c)
        .map(|(_, meant)| *meant)
}

/// The number of a section that is cited without its sign: `91.319`.
fn is_section(words: &str, patterns: &Patterns) -> bool {
    let Some((part, section)) = words.split_once('.') else {
        return false;
    };
    let number = |w: &str| w.parse::<u16>().ok().filter(|_| !w.starts_with('0'));
    number(section).is_some()
        && section.len() <= 4
        && number(part).is_some_and(|p| patterns.citation.bare.binary_search(&p).is_ok())
}

fn is_part(words: &str, patterns: &Patterns) -> bool {
    words
        .parse::<u16>()
        .is_ok_and(|p| patterns.citation.parts.binary_search(&p).is_ok())
}

/// Whether what follows is what a word slip asks for.
pub(super) fn follows(what: Follows, around: Around<'_>, patterns: &Patterns) -> bool {
    let next = around.piece_after();
    let end = next.find('(').unwrap_or(next.len());
    let number: String = next
        .get(..end)
        .unwrap_or_default()
        .trim_end_matches([',', ';', ':', '.'])
        .chars()
        .map(|c| digit(c, patterns).unwrap_or(c))
        .collect();
    match what {
        Follows::Anything => true,
        Follows::Part => is_part(&number, patterns),
        Follows::Section => is_section(&number, patterns),
    }
}
