//! What tells whose letter it is is left out of rows: registration marks, serial numbers, names,
//! addresses, signatures.
//!
//! Words of a letter are kept where they are words of the trade: those that occur in the pattern
//! files. An unknown word is left out where it is written with a capital letter or a figure, where
//! it looks like an address on the net, or where the head or the end of the letter has it (that is
//! where names, marks and addresses stand). What this cannot find: a name that is also a word of
//! the trade and stands alone in a sentence ("Page may inspect"), and what the combination of
//! harmless words tells to somebody who knows the aircraft.

use rustc_hash::FxHashSet as HashSet;

use crate::model::{Letter, Text};
use crate::patterns::Patterns;

/// What stands in the place of what was left out.
pub const LEFT_OUT: &str = "[left out]";

/// What a survey says of what it left out.
#[must_use]
pub(super) const fn promise(identify: bool) -> &'static str {
    if identify {
        "Names, marks, numbers and addresses were kept, as --identify says: this is for those who \
         may know them, and for nobody else."
    } else {
        "Names, registration marks, serial numbers and addresses were looked for and left out. A \
         name that is also a word of the trade, and what the sum of harmless words tells to \
         somebody who knows the aircraft, cannot be found: look through this before you pass it on."
    }
}

/// The words of the trade.
#[derive(Debug)]
pub struct Redaction {
    known: HashSet<String>,
}

/// What a letter says outside of its clauses that tells whose it is.
#[derive(Debug, Default)]
pub struct Identity {
    /// Words that are no words of the trade.
    words: HashSet<String>,
    /// Words behind "Owner:", "Address:" and the like.
    named: HashSet<String>,
    /// Of those, words with a capital that stand side by side; they may be words of the trade.
    pairs: HashSet<(String, String)>,
}

/// What stands before a name or an address, and behind the name of one who signed.
const LABELS: [&str; 13] = [
    "owner",
    "applicant",
    "builder",
    "name",
    "address",
    "registrant",
    "holder",
    "purchaser",
    "signed",
    "signature",
    "serial",
    "make",
    "model",
];

/// A word of a text, and what stands before it.
struct Piece<'t> {
    gap: &'t str,
    word: &'t str,
}

impl Redaction {
    /// Learns the words of the trade from the pattern files.
    #[must_use]
    pub fn new(patterns: &Patterns) -> Self {
        let mut known = HashSet::default();
        for wording in &patterns.wording {
            for word in words(&wording.file.text) {
                known.insert(key(word));
            }
        }
        for id in patterns.ids() {
            let room = id.split('/').next().unwrap_or_default();
            if matches!(
                room,
                "inspector" | "modality" | "topic" | "paper" | "citation"
            ) && let Some(text) = patterns.source_of(id)
            {
                // Examples have invented names; words of the trade are written small somewhere.
                for word in
                    words(text).filter(|w| !w.chars().any(|c| c.is_uppercase() || c.is_numeric()))
                {
                    known.insert(key(word));
                }
            }
        }
        Self { known }
    }

    /// What the head and the end of a letter say that its clauses must not repeat.
    #[must_use]
    pub fn identity(&self, letter: &Letter, text: &Text) -> Identity {
        let numbered =
            |c: &&crate::model::Clause| c.level == 1 && (c.number.is_some() || c.item.is_some());
        let content = &text.content;
        let first = letter.clauses.iter().find(numbered).map(|c| c.span.start);
        let last = letter.clauses.iter().rfind(numbered).map(|c| c.span.end);
        let head = content.get(..first.unwrap_or(0)).unwrap_or_default();
        let tail = content
            .get(last.unwrap_or(content.len())..)
            .unwrap_or_default();
        let aside = text.furniture.iter().map(|f| f.text.as_str());
        let mut found = Identity::default();
        for part in [head, tail].into_iter().chain(aside) {
            for word in words(part) {
                let key = key(word);
                if key.len() > 1 && !self.is_known(word) {
                    found.words.insert(key);
                }
            }
            for value in labelled(part) {
                // `DEMO-7` in parts, too: names of files are compared part by part.
                let parts = value.split(|c: char| !c.is_alphanumeric());
                found.named.extend(words(value).chain(parts).map(key));
                let all: Vec<&str> = words(value).collect();
                for pair in all.windows(2) {
                    if let [a, b] = pair
                        && capital(a)
                        && capital(b)
                    {
                        found.pairs.insert((key(a), key(b)));
                    }
                }
            }
        }
        found
    }

    fn is_known(&self, word: &str) -> bool {
        let key = key(word);
        key.is_empty() || self.known.contains(&key) || is_reference(word)
    }

    /// The words of a letter without what tells whose it is.
    #[must_use]
    pub fn words(&self, text: &str, identity: &Identity) -> String {
        let pieces: Vec<Piece<'_>> = pieces(text).collect();
        let mut out: Vec<bool> = pieces
            .iter()
            .map(|p| !self.is_known(p.word) && self.tells(p.word, identity))
            .collect();
        let cited = cited(&pieces);
        for n in 1..pieces.len() {
            let (a, b) = (pieces[n - 1].word, pieces[n].word);
            if capital(a) && capital(b) && identity.pairs.contains(&(key(a), key(b))) {
                out[n - 1] = true;
                out[n] = true;
            }
        }
        for (out, cited) in out.iter_mut().zip(&cited) {
            *out &= !cited;
        }
        self.neighbours(&pieces, &mut out);
        // Beside a name they are initials, and no collection of rules.
        for n in 0..pieces.len() {
            let beside = n > 0 && out[n - 1] || out.get(n + 1).is_some_and(|o| *o);
            if beside && is_collection(pieces[n].word) {
                out[n] = true;
            }
        }
        for (out, cited) in out.iter_mut().zip(&cited) {
            *out &= !cited;
        }
        let mut result = String::with_capacity(text.len());
        let mut before = false;
        for (piece, out) in pieces.iter().zip(&out) {
            if !(*out && before) {
                result.push_str(piece.gap);
            }
            match (out, before) {
                (true, false) => {
                    result.push_str(LEFT_OUT);
                    if let Some(end) = piece
                        .word
                        .chars()
                        .next_back()
                        .filter(|c| ".,;:)".contains(*c))
                    {
                        result.push(end);
                    }
                }
                (true, true) => {}
                (false, _) => result.push_str(piece.word),
            }
            before = *out;
        }
        result
    }

    /// A name of a file: only marks, long numbers and names that the letter itself has are left
    /// out, since the name is what a club finds the letter by.
    #[must_use]
    pub fn file_name(&self, name: &str, identity: &Identity) -> String {
        let mut out = String::with_capacity(name.len());
        let mut rest = name;
        while !rest.is_empty() {
            let start = rest
                .find(|c: char| c.is_alphanumeric())
                .unwrap_or(rest.len());
            out.push_str(&rest[..start]);
            rest = &rest[start..];
            let end = rest
                .find(|c: char| !c.is_alphanumeric())
                .unwrap_or(rest.len());
            let word = &rest[..end];
            let figures = word.bytes().all(|b| b.is_ascii_digit());
            let named = !figures
                && word.chars().count() > 2
                && !self.is_known(word)
                && identity.named.contains(&key(word));
            if named || is_mark(word) || figures && word.len() >= 6 {
                out.push_str(LEFT_OUT);
            } else {
                out.push_str(word);
            }
            rest = &rest[end..];
        }
        out
    }

    /// Whether an unknown word may tell something.
    fn tells(&self, word: &str, identity: &Identity) -> bool {
        word.contains('@')
            || word.contains("://")
            || word.starts_with("www.")
            || word.chars().any(|c| c.is_uppercase() || c.is_numeric())
            || !word.is_ascii()
            || identity.words.contains(&key(word))
    }

    /// Words beside one that is left out go with it where they look like a part of the same name,
    /// number or address: capitals in the middle of a sentence, single letters, figures; and the
    /// number behind "serial number" or "certificate number".
    fn neighbours(&self, pieces: &[Piece<'_>], out: &mut [bool]) {
        let goes_along = |n: usize| {
            let Some(piece) = pieces.get(n) else {
                return false;
            };
            let bare = piece.word.trim_matches(|c: char| !c.is_alphanumeric());
            let sentence = n == 0
                || pieces
                    .get(n - 1)
                    .is_some_and(|p| p.word.ends_with(['.', ':', ';', '"', '”']));
            let figure = !bare.is_empty() && bare.bytes().all(|b| b.is_ascii_digit());
            let capital = bare.chars().next().is_some_and(char::is_uppercase)
                && bare.chars().skip(1).any(char::is_lowercase);
            let initial = bare.chars().count() == 1 && bare.chars().all(char::is_uppercase);
            figure || initial || capital && !sentence
        };
        for n in 1..pieces.len() {
            let Some(piece) = pieces.get(n) else { continue };
            let bare = piece.word.trim_matches(|c: char| !c.is_alphanumeric());
            let figures = bare.bytes().any(|b| b.is_ascii_digit());
            let before: Vec<String> = pieces[n.saturating_sub(2)..n]
                .iter()
                .map(|p| key(p.word))
                .collect();
            let of = |names: &[&str]| before.iter().any(|w| names.contains(&w.as_str()));
            let label = of(&["serial", "s/n", "sn", "cert"])
                || of(&["certificate"]) && of(&["number", "no"])
                || of(&["n", "number", "no"]) && !is_reference(piece.word);
            // "Madeup, number 471"
            let of_a_name =
                n > 1 && out[n - 2] && matches!(key(pieces[n - 1].word).as_str(), "number" | "no");
            if figures && (label || of_a_name) {
                out[n] = true;
            }
            if out[n - 1] && goes_along(n) {
                out[n] = true;
            }
            // A mark in pieces: `N 0 WHO`.
            if figures && pieces[n - 1].word.trim_matches('(') == "N" {
                out[n - 1] = true;
                for (piece, out) in pieces.iter().zip(out.iter_mut()).skip(n) {
                    let bare = piece.word.trim_matches(|c: char| !c.is_alphanumeric());
                    let part = |b: u8| b.is_ascii_digit() || b.is_ascii_uppercase();
                    if bare.len() > 4 || !bare.bytes().all(part) {
                        break;
                    }
                    *out = true;
                }
            }
        }
        for n in (1..pieces.len()).rev() {
            if out[n] && goes_along(n - 1) {
                out[n - 1] = true;
            }
        }
    }
}

/// Which pieces are part of a citation ("14 CFR § 65.104", "49 U.S.C. § 44701", "FAR 65.104",
/// "Order 8130.2F"): the name of a collection counts only beside a number of a section or a part, the number of an order only behind its
/// kind, so that neither hides the initials of a person.
fn cited(pieces: &[Piece<'_>]) -> Vec<bool> {
    let mut cited = vec![false; pieces.len()];
    let word = |n: usize| pieces.get(n).map_or("", |p| p.word);
    for n in 0..pieces.len() {
        if is_collection(word(n)) {
            let sign = |n: usize| {
                matches!(key(word(n)).as_str(), "part" | "parts" | "section")
                    || ["§", "§§"].contains(&word(n))
            };
            let number = n + 1 + usize::from(sign(n + 1));
            if has_number(word(number)) {
                for part in &mut cited[n..=number] {
                    *part = true;
                }
                let title = n
                    .checked_sub(1)
                    .filter(|t| ["14", "49"].contains(&word(*t)));
                if let Some(title) = title {
                    cited[title] = true;
                }
            }
        }
        let kind = matches!(key(word(n)).as_str(), "order" | "form" | "ac");
        if kind && is_order(word(n + 1)) {
            cited[n] = true;
            cited[n + 1] = true;
        }
    }
    cited
}

/// The name of a collection of rules.
fn is_collection(word: &str) -> bool {
    let bare: String = word.chars().filter(|c| c.is_alphanumeric()).collect();
    matches!(bare.as_str(), "CFR" | "FAR" | "FARs" | "USC")
}

/// A number of a section or part: `65.104(b)`, `§65.104`, `43`.
fn has_number(word: &str) -> bool {
    let word = word.trim_start_matches('§');
    word.starts_with(|c: char| c.is_ascii_digit()) && is_reference(word)
        || word.trim_end_matches(['.', ',', ';']).len() == 5
            && word
                .trim_end_matches(['.', ',', ';'])
                .bytes()
                .all(|b| b.is_ascii_digit())
}

/// A number of an order, a form or a circular: `8130.2F`, `8130-7`, `43.13-1B`.
fn is_order(word: &str) -> bool {
    let bare = word.trim_matches(|c: char| !c.is_alphanumeric());
    let figures = bare.trim_end_matches(|c: char| c.is_ascii_uppercase());
    let parts: Vec<&str> = figures.split(['.', '-']).collect();
    bare.len() <= figures.len() + 2
        && (2..=3).contains(&parts.len())
        && parts
            .iter()
            .all(|p| (1..=4).contains(&p.len()) && p.bytes().all(|b| b.is_ascii_digit()))
}

/// What stands behind a label such as "Owner:", on the same line or the next one, and what stands
/// before one such as ", applicant".
fn labelled(part: &str) -> impl Iterator<Item = &str> {
    let is_label = |word: &str| LABELS.contains(&key(word).as_str());
    let mut open = false;
    part.lines()
        .filter(|line| !line.trim().is_empty())
        .filter_map(move |line| {
            let before = std::mem::take(&mut open);
            if let Some((label, value)) = line.split_once(':') {
                if !words(label).any(is_label) {
                    return None;
                }
                open = value.trim().is_empty();
                return Some(value);
            }
            if let Some((value, label)) = line.rsplit_once(',')
                && words(label).any(is_label)
            {
                return Some(value);
            }
            before.then_some(line)
        })
}

fn capital(word: &str) -> bool {
    word.trim_start_matches(|c: char| !c.is_alphanumeric())
        .starts_with(char::is_uppercase)
}

fn pieces(text: &str) -> impl Iterator<Item = Piece<'_>> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let start = rest.find(|c: char| !c.is_whitespace())?;
        let len = rest[start..]
            .find(char::is_whitespace)
            .unwrap_or(rest.len() - start);
        let piece = Piece {
            gap: &rest[..start],
            word: &rest[start..start + len],
        };
        rest = &rest[start + len..];
        Some(piece)
    })
}

fn words(text: &str) -> impl Iterator<Item = &str> {
    pieces(text).map(|p| p.word)
}

/// A word as it is compared: without the marks around it, in small letters.
fn key(word: &str) -> String {
    let bare = word.trim_matches(|c: char| !c.is_alphanumeric());
    let bare = bare
        .strip_suffix("'s")
        .or_else(|| bare.strip_suffix("’s"))
        .unwrap_or(bare);
    bare.to_lowercase()
}

/// A number of the trade: `12`, `100`, `2008`, `65.104(b)(1)`, `(a)`, `I`, `A&P`.
fn is_reference(word: &str) -> bool {
    let bare = word.trim_matches(|c: char| !c.is_alphanumeric() && c != '(' && c != ')');
    let bare = bare.trim_end_matches(['.', ',', ';', ':']);
    let plain = bare.split('(').next().unwrap_or(bare).trim_matches(')');
    let mut halves = plain.split('.');
    let whole = halves.next().unwrap_or_default();
    let figures = |s: &str, most: usize| s.len() <= most && s.bytes().all(|b| b.is_ascii_digit());
    let number = match (halves.next(), halves.next()) {
        (None, _) => figures(whole, 3),
        (Some(section), None) => figures(whole, 3) && figures(section, 4),
        _ => false,
    };
    // `(b)`, `(12)`, `(iv)`
    let paragraphs = bare.split('(').skip(1).all(|p| {
        let p = p.trim_end_matches(')');
        figures(p, 3)
            || p.len() == 1 && p.bytes().all(|b| b.is_ascii_alphabetic())
            || p.len() <= 5 && p.bytes().all(|b| b"ivx".contains(&b))
    });
    number && paragraphs
}

/// A registration mark of the United States, or what a letter may have in its place.
fn is_mark(word: &str) -> bool {
    let Some(rest) = word.strip_prefix(['N', 'n']) else {
        return false;
    };
    let rest = rest.trim_start_matches(['C', 'R', 'X', 'L', 'c', 'r', 'x', 'l']);
    rest.len() <= 5
        && rest.starts_with(|c: char| c.is_ascii_digit())
        && rest.bytes().all(|b| b.is_ascii_alphanumeric())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn redaction() -> Redaction {
        Redaction::new(&Patterns::embedded().expect("the patterns are checked by the tests"))
    }

    fn shown(text: &str) -> String {
        redaction().words(text, &Identity::default())
    }

    #[test]
    fn words_of_the_trade_stay() {
        for text in [
            "An experimental aircraft builder certificated as a repairman for this aircraft under § 65.104 or an appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.",
            "Only a certificated repair station under part 145 may perform it within 12 calendar months.",
            "No person may operate this aircraft unless it is inspected under § 91.409(c)(1) and Appendix D to Part 43.",
        ] {
            assert_eq!(shown(text), text);
        }
    }

    #[test]
    fn citations_stay_whole() {
        for text in [
            "inspected under 14 CFR § 65.104 by a mechanic",
            "as 14 CFR 65.104(b) and 14 CFR part 43 say.",
            "required by 14 CFR §65.104, or 49 U.S.C. § 44701.",
            "under FAR 91.409(c)(1) or FAA Order 8130.2F",
            "see AC 43.13-1B and FAA Form 8130-7.",
        ] {
            assert_eq!(shown(text), text);
        }
        // No citation: initials, and a number that belongs to a person.
        let shown = shown("Only CFR Madeup, number 471, or F. FAR Quillon may inspect");
        for gone in ["CFR", "Madeup", "471", "FAR", "Quillon"] {
            assert!(!shown.contains(gone), "{gone} in {shown}");
        }
    }

    #[test]
    fn names_marks_and_numbers_in_odd_places_go() {
        for (text, gone) in [
            (
                "Only Quillon Z. Madeup may inspect N0WHO.",
                &["Quillon", "Madeup", "N0WHO"][..],
            ),
            (
                "The mechanic QUILLON MADEUP may inspect.",
                &["QUILLON", "MADEUP"],
            ),
            ("the aircraft (N 0 WHO) must be inspected", &["WHO"]),
            ("serial number 471 may be inspected", &["471"]),
            (
                "S/N DEMO-001, built by Sample Madeupson,",
                &["DEMO", "001", "Madeupson"],
            ),
            ("certificate number 1234567 only", &["1234567"]),
            (
                "Send it to 12 Nowhere Zzyzx Road, Sampleton",
                &["Zzyzx", "Sampleton", "12 "],
            ),
            (
                "or call 555-0100 or mail quillon@example.org",
                &["555-0100", "quillon"],
            ),
            ("aircraft NX0IO-7 (N0IO) only", &["NX0IO", "N0IO"]),
            ("by Müllermade only", &["Müllermade"]),
        ] {
            let shown = shown(text);
            for word in gone {
                assert!(!shown.contains(word), "{word} in {shown}");
            }
            assert!(shown.contains(LEFT_OUT), "{shown}");
        }
    }

    #[test]
    fn marks_leave_names_of_files() {
        let redaction = redaction();
        let nobody = Identity::default();
        assert_eq!(
            redaction.file_name("club/N0WHO limits 2008.pdf", &nobody),
            "club/[left out] limits 2008.pdf"
        );
        assert_eq!(
            redaction.file_name("nx0io_scan-1234567.pdf", &nobody),
            "[left out]_scan-[left out].pdf"
        );
        assert_eq!(redaction.file_name("note-12.txt", &nobody), "note-12.txt");
    }

    #[test]
    fn names_that_the_head_has_go_even_where_they_are_words_of_the_trade() {
        let patterns = Patterns::embedded().expect("the patterns are checked by the tests");
        let redaction = Redaction::new(&patterns);
        let text = Text::verbatim(
            "OPERATING LIMITATIONS\nOwner: Page Sample Inspector\nSerial number:\nDEMO-7\n\n\
             (1) Only Page Sample Inspector or a mechanic may inspect this aircraft.\n\
             (2) The pilot must land.\n\nQuillon Madeup, applicant\n",
        );
        let letter = crate::understand(&text, &patterns);
        let identity = redaction.identity(&letter, &text);
        assert_eq!(
            redaction.words(
                "Only Page Sample Inspector or a mechanic may inspect this aircraft.",
                &identity
            ),
            "Only [left out] or a mechanic may inspect this aircraft."
        );
        assert_eq!(
            redaction.file_name("quillon/madeup_limits-demo.pdf", &identity),
            "[left out]/[left out]_limits-[left out].pdf"
        );
    }
}
