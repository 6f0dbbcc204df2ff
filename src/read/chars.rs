//! Characters as printed → characters as the rest of the program knows them.

use unicode_normalization::{IsNormalized, UnicodeNormalization, is_nfc_quick};

/// A soft hyphen at the end of a line, where it stands for a broken word.
pub(super) const SOFT_HYPHEN: char = '\u{ad}';

/// The sentence with a capital at its head.
pub(crate) fn capital(words: &str) -> String {
    let mut chars = words.chars();
    chars
        .next()
        .map(|c| c.to_uppercase().chain(chars).collect())
        .unwrap_or_default()
}

/// The line with straight quotes, plain blanks, no ligatures, no control characters, single
/// blanks between words and none at its ends. A soft hyphen at the end is kept, others go.
pub(super) fn clean(line: &str) -> String {
    if line.is_ascii() && !line.bytes().any(|b| b < b' ' || b == 0x7f) && !line.contains("  ") {
        return line.trim().to_owned();
    }
    let mut out = String::with_capacity(line.len());
    let mut chars = line.chars();
    while let Some(c) = chars.next() {
        match c {
            '\u{1b}' | '\u{9b}' => skip_sequence(c, &mut chars),
            // printed twice at one place: the later one is seen
            '\u{8}' => {
                out.pop();
            }
            c => plain(c, &mut out),
        }
    }
    if !matches!(is_nfc_quick(out.chars()), IsNormalized::Yes) {
        out = out.nfc().collect();
    }
    let folded = out.split_whitespace().collect::<Vec<_>>().join(" ");
    let soft = folded.ends_with(SOFT_HYPHEN);
    let mut folded: String = folded.chars().filter(|&c| c != SOFT_HYPHEN).collect();
    if soft {
        folded.push(SOFT_HYPHEN);
    }
    folded
}

/// Characters of an escape sequence.
const LONGEST: usize = 400;

/// Skips the rest of an escape sequence (ECMA-48): for the color of letters, the title of a
/// window, a set of characters.
fn skip_sequence(first: char, chars: &mut std::str::Chars<'_>) {
    let mut taken = 0_usize;
    let mut rest = chars.clone().take(LONGEST).inspect(|_| taken += 1);
    let kind = if first == '\u{9b}' {
        Some('[')
    } else {
        rest.next()
    };
    let ended = match kind {
        Some('[') => rest.any(|c| ('\u{40}'..='\u{7e}').contains(&c)),
        Some(']' | 'P' | 'X' | '^' | '_') => {
            let mut before = None;
            rest.any(|c| {
                let ends = matches!(c, '\u{7}' | '\u{9c}') || before == Some('\u{1b}') && c == '\\';
                before = Some(c);
                ends
            })
        }
        Some('\u{21}'..='\u{2f}') => rest.any(|c| ('\u{30}'..='\u{7e}').contains(&c)),
        Some('\u{30}'..='\u{7e}') => true,
        _ => false,
    };
    // what has no end is none
    if ended && let Some(last) = taken.checked_sub(1) {
        chars.nth(last);
    }
}

/// Whether nothing is seen of a character (Unicode, Default_Ignorable_Code_Point), apart from the
/// soft hyphen.
fn is_ignorable(c: char) -> bool {
    matches!(
        c,
        '\u{34f}' | '\u{61c}' | '\u{17b4}' | '\u{17b5}' | '\u{180b}'..='\u{180f}'
        | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
        | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{fff0}'..='\u{fff8}'
        | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}'
    )
}

fn plain(c: char, out: &mut String) {
    match c {
        '\u{2018}' | '\u{2019}' | '\u{201a}' | '\u{201b}' | '\u{2032}' => out.push('\''),
        '\u{201c}' | '\u{201d}' | '\u{201e}' | '\u{201f}' | '\u{2033}' => out.push('"'),
        // hyphens that are hyphens; dashes stay dashes
        '\u{2010}' | '\u{2011}' | '\u{2212}' | '\u{fe63}' | '\u{ff0d}' => out.push('-'),
        '\t'
        | '\u{a0}'
        | '\u{1680}'
        | '\u{2000}'..='\u{200a}'
        | '\u{202f}'
        | '\u{205f}'
        | '\u{3000}'
        | '\u{2028}'
        | '\u{2029}'
        | '\u{85}' => out.push(' '),
        // marks without width, marks of direction: they could hide or turn words round
        c if is_ignorable(c) => {}
        // fillers: nothing is seen of them but the room that they take
        '\u{115f}' | '\u{1160}' | '\u{2800}' | '\u{3164}' | '\u{ffa0}' => out.push('\u{fffd}'),
        // bullets of symbol fonts, and letters of fonts that call themselves symbols
        '\u{f0a7}' | '\u{f0b7}' | '\u{f0d8}' | '\u{f06c}' | '\u{f0fc}' => out.push('\u{2022}'),
        '\u{f020}'..='\u{f07e}' => {
            out.push(char::from_u32(u32::from(c) - 0xf000).unwrap_or('\u{fffd}'));
        }
        '\u{fb00}'..='\u{fb06}' | '\u{ff01}'..='\u{ff5e}' | '\u{1d400}'..='\u{1d7ff}' => {
            out.extend(c.nfkc());
        }
        c if c.is_control() => {}
        c => out.push(c),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typography_becomes_plain() {
        assert_eq!(
            clean(
                "\u{201c}o\u{fb03}ce\u{201d}\u{a0}the owner\u{2019}s\tcopy  \u{a7}\u{2009}91.319"
            ),
            "\"office\" the owner's copy \u{a7} 91.319"
        );
    }

    #[test]
    fn what_cannot_be_seen_goes() {
        assert_eq!(clean("m\u{200b}ay \u{202e}not\u{1b}[31m"), "may not");
        for hidden in [
            "\u{1b}[1;31m",
            "\u{9b}0m",
            "\u{1b}]0;title\u{7}",
            "\u{1b}]8;;x\u{1b}\\",
            "\u{1b}(B",
            "\u{1b}c",
            "\u{61c}",
            "\u{34f}",
            "\u{180e}",
            "x\u{8}",
            "\u{e0041}",
            "\u{fff0}",
        ] {
            assert_eq!(
                clean(&format!("mec{hidden}hanic")),
                "mechanic",
                "{hidden:?}"
            );
        }
        assert_eq!(clean("mec\u{3164}hanic"), "mec\u{fffd}hanic");
        assert_eq!(clean("cer\u{ad}tificate"), "certificate");
        assert_eq!(clean("cer\u{ad}"), "cer\u{ad}");
    }

    #[test]
    fn letters_with_marks_are_composed_and_signs_kept() {
        assert_eq!(
            clean("re\u{301}sume\u{301} \u{a7} 1\u{bd} \u{2014} 90\u{b0}"),
            "résumé § 1½ — 90°"
        );
        assert_eq!(clean("\u{f0b7} item"), "• item");
        assert_eq!(clean("\u{f041}\u{f042}"), "AB");
    }
}
