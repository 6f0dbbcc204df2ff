//! Words: letters taken for others, blanks lost, and words that may be one that decides.

use super::weak::certain;
use super::{Around, Mender, PERHAPS};
use crate::model::{Doubt, Span};

/// Longer runs of letters are no words.
const LONGEST: usize = 40;
/// Words in one run of letters that lost its blanks.
const PIECES: usize = 5;
/// Letters of a word that have to be left to tell it.
const LEFT: usize = 4;
/// Words before one that can say of whom it is said.
const NEAR: usize = 3;
/// Behind these a clause goes on without naming anybody.
const MODALS: [&str; 3] = ["may", "must", "shall"];

impl Mender<'_> {
    /// The words in a piece between blanks.
    pub(super) fn words_of(&mut self, chunk: Span, around: Around<'_>) {
        let content = &self.text.content;
        let words = chunk.of(content);
        let mut start = None;
        let mut runs: Vec<Span> = Vec::new();
        for (at, c) in words.char_indices().chain([(words.len(), ' ')]) {
            if c.is_alphanumeric() || c == '|' {
                start.get_or_insert(at);
            } else if let Some(from) = start.take() {
                runs.push(Span::new(chunk.start + from, chunk.start + at));
            }
        }
        for (n, &run) in runs.iter().enumerate() {
            let before = match n.checked_sub(1).and_then(|b| runs.get(b)) {
                Some(b) => b.of(content).to_lowercase(),
                None => around.word_before(),
            };
            let after = match runs.get(n + 1) {
                Some(a) => a.of(content).to_lowercase(),
                None => around.word_after(),
            };
            self.word(run, &before, &after);
            if let Some(&next) = runs.get(n + 1) {
                self.blank_behind_mark(run, next);
            }
        }
    }

    /// "aircraft.The", "altered,the": the blank behind the mark was lost.
    fn blank_behind_mark(&mut self, run: Span, next: Span) {
        let content = &self.text.content;
        let mark = Span::new(run.end, next.start).of(content);
        let (first, second) = (run.of(content), next.of(content));
        let lower = |w: &str| w.to_lowercase();
        let capital = second.starts_with(char::is_uppercase);
        let fits = match mark {
            "." => capital && second.len() > 1,
            "," | ";" | ":" => second.starts_with(char::is_alphabetic),
            _ => false,
        };
        if fits
            && first.len() > 2
            && first.ends_with(char::is_lowercase)
            && (mark == "." || self.vocabulary.knows_form(&lower(first)))
            && self.vocabulary.knows_form(&lower(second))
        {
            self.edit(Span::new(next.start, next.start), " ".into(), true);
        }
    }

    /// One run of letters.
    fn word(&mut self, run: Span, before: &str, after: &str) {
        let read = run.of(&self.text.content).to_owned();
        let letters = read.chars().filter(|c| c.is_alphabetic()).count();
        let length = read.chars().count();
        if !(2..=LONGEST).contains(&length) || !read.is_ascii() || letters * 2 < length {
            return;
        }
        let lower = read.to_lowercase();
        if MODALS.contains(&after)
            && self.patterns.slip.before_persons.contains(&lower)
            && !self.said_of_person(run)
        {
            // "an appropriately rated may perform": the scan lost whom the words speak of
            self.doubts.push(Doubt {
                span: run,
                confidence: PERHAPS,
                meant: Some(format!("{lower} mechanic")),
            });
            return;
        }
        let weak = self.weak(run);
        if self.decides(&lower) {
            if let Some(confidence) = weak
                && !certain(&read, confidence, &self.vocabulary)
            {
                self.doubt(run, confidence, lower);
            }
            return;
        }
        let near = self.near_deciding(&lower, weak.is_some());
        if self.vocabulary.knows_form(&lower) {
            // read well, it is what it is; read badly, it may be the other one
            if let (Some(confidence), Some(near)) = (weak, near) {
                self.doubt(run, confidence, near);
            }
            return;
        }
        let candidates = self.candidates(&read);
        if let Some(deciding) = candidates
            .iter()
            .map(|(word, _)| word.to_lowercase())
            .find(|word| self.decides(word))
            .or(near)
            .or_else(|| self.remains_of_person(&lower))
        {
            self.doubt(run, weak.unwrap_or(1.0).min(PERHAPS), deciding);
            return;
        }
        if let [(meant, plain)] = candidates.as_slice() {
            let meant_lower = meant.to_lowercase();
            // Letters that look like letters of other words are corrected only with a second reason.
            let reason = *plain
                || weak.is_some()
                || self.vocabulary.pair(before, &meant_lower)
                || self.vocabulary.pair(&meant_lower, after);
            if reason {
                let meant = in_case(meant, &read);
                self.edit(run, meant, false);
            }
            return;
        }
        if candidates.is_empty() {
            self.unglue(run, &read, before, after);
        }
    }

    fn decides(&self, word: &str) -> bool {
        self.patterns
            .slip
            .deciding
            .binary_search_by(|d| d.as_str().cmp(word))
            .is_ok()
    }

    fn doubt(&mut self, span: Span, confidence: f32, meant: String) {
        self.doubts.push(Doubt {
            span,
            confidence,
            meant: Some(meant),
        });
    }

    /// The deciding word from which one letter, or one known slip, parts the word. Many short words
    /// lie one letter apart: where they were read well, only a known slip counts.
    fn near_deciding(&self, word: &str, weak: bool) -> Option<String> {
        let slip = &self.patterns.slip;
        let by_slip = |d: &&String| {
            slip.letters
                .iter()
                .any(|(read, meant)| replaces_once(word, read, meant, d))
        };
        let by_letter = |d: &&String| {
            let enough = d.len() > 4 || weak && (d.len() > 3 || d.len() == word.len());
            enough && one_apart(d, word)
        };
        let mut deciding = slip.deciding.iter().filter(|d| d.len() > 2);
        deciding
            .clone()
            .find(by_slip)
            .or_else(|| deciding.find(by_letter))
            .cloned()
    }

    /// "a repairman who is appropriately rated may perform": the words before say of whom.
    fn said_of_person(&self, run: Span) -> bool {
        let before = self.text.content.get(..run.start).unwrap_or_default();
        before
            .rsplit(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty())
            .take(NEAR)
            .any(|w| ["is", "are", "being"].contains(&w))
    }

    /// The word for who inspects of which letters are left, first and last among them, where a blur
    /// took the others: "meic". A word that is known for itself never comes here.
    fn remains_of_person(&self, word: &str) -> Option<String> {
        let mut persons: Vec<&String> = self.patterns.slip.persons.iter().collect();
        persons.sort_unstable();
        persons
            .into_iter()
            .find(|person| {
                word.len() >= LEFT
                    && word.len() * 2 >= person.len()
                    && word.bytes().next() == person.bytes().next()
                    && word.bytes().last() == person.bytes().last()
                    && in_order(word, person)
            })
            .cloned()
    }

    /// Known words that known slips make of the one read, and whether each slip on the way turns
    /// what is no letter of a word into one (a figure, a capital inside).
    fn candidates(&self, read: &str) -> Vec<(String, bool)> {
        let mut found: Vec<(String, bool)> = Vec::new();
        let mut reached = vec![(read.to_owned(), true)];
        // two slips in one word at most; more would make any word of any other
        for _ in 0..2 {
            let mut next: Vec<(String, bool)> = Vec::new();
            for (word, plain) in &reached {
                for (from, to) in &self.patterns.slip.letters {
                    for (at, _) in word.match_indices(from.as_str()) {
                        // a capital at the head of a word is a capital
                        if at == 0 && from.starts_with(char::is_uppercase) {
                            continue;
                        }
                        let mut other = String::with_capacity(word.len() + 1);
                        other.push_str(&word[..at]);
                        other.push_str(to);
                        other.push_str(&word[at + from.len()..]);
                        let odd = from.len() > to.len() || !from.chars().all(char::is_lowercase);
                        let plain = *plain && odd;
                        if next.len() < 400 {
                            next.push((other, plain));
                        }
                    }
                }
            }
            for (word, plain) in &next {
                let lower = word.to_lowercase();
                let known = lower.len() > 1
                    && lower.bytes().all(|b| b.is_ascii_alphabetic())
                    && (self.vocabulary.knows(&lower) || self.decides(&lower));
                if known && !found.iter().any(|(w, _)| w.to_lowercase() == lower) {
                    found.push((word.clone(), *plain));
                }
            }
            if !found.is_empty() {
                break;
            }
            reached = next;
        }
        found
    }

    /// A run of letters that is two words or more.
    fn unglue(&mut self, run: Span, read: &str, before: &str, after: &str) {
        // "part43", "12calendar"
        if let Some(at) = read.find(|c: char| c.is_ascii_digit())
            && at > 0
        {
            let (word, number) = read.split_at(at);
            let lower = word.to_lowercase();
            if number.bytes().all(|b| b.is_ascii_digit())
                && word.len() > 1
                && self.vocabulary.knows(&lower)
            {
                self.edit(run, format!("{word} {number}"), true);
            }
            return;
        }
        let figures = read.bytes().take_while(u8::is_ascii_digit).count();
        if figures > 0 {
            let (number, word) = read.split_at(figures);
            if word.len() > 2 && self.vocabulary.knows(&word.to_lowercase()) {
                self.edit(run, format!("{number} {word}"), true);
            }
            return;
        }
        if read.len() < 4 {
            return;
        }
        let mut splits: Vec<(u32, Vec<usize>)> = Vec::new();
        self.split(
            &read.to_lowercase(),
            0,
            &mut Vec::new(),
            before,
            after,
            &mut splits,
        );
        splits.sort();
        // the best one, and only if no other is as good
        let best = match splits.as_slice() {
            [only] => only,
            [first, second, ..] if first.0 < second.0 => first,
            _ => return,
        };
        let mut new = String::with_capacity(read.len() + PIECES);
        let mut at = 0;
        for &cut in &best.1 {
            new.push_str(&read[at..cut]);
            new.push(' ');
            at = cut;
        }
        new.push_str(&read[at..]);
        self.edit(run, new, true);
    }

    /// All ways to part the run into known words, each with what speaks against it: pairs that no
    /// wording has.
    fn split(
        &self,
        run: &str,
        from: usize,
        cuts: &mut Vec<usize>,
        before: &str,
        after: &str,
        out: &mut Vec<(u32, Vec<usize>)>,
    ) {
        if out.len() > 50 {
            return;
        }
        let fits = |piece: &str| piece == "a" || (piece.len() > 1 && self.vocabulary.knows(piece));
        let rest = &run[from..];
        if !cuts.is_empty() && fits(rest) {
            let mut against = 0;
            let mut words: Vec<&str> = vec![before];
            let mut at = 0;
            for &cut in cuts.iter() {
                words.push(&run[at..cut]);
                at = cut;
            }
            words.push(rest);
            words.push(after);
            for (n, pair) in words.windows(2).enumerate() {
                let inner = n > 0 && n + 2 < words.len();
                if !self.vocabulary.pair(pair[0], pair[1]) {
                    against += if inner { 4 } else { 1 };
                }
            }
            // Every pair of pieces is one of a known wording, or a plain small word leads.
            if against < 4 || self.plain(run, cuts) {
                out.push((against, cuts.clone()));
            }
        }
        if cuts.len() + 1 >= PIECES {
            return;
        }
        for cut in from + 1..run.len() {
            if fits(&run[from..cut]) {
                cuts.push(cut);
                self.split(run, cut, cuts, before, after, out);
                cuts.pop();
            }
        }
    }

    /// Whether the first piece is a plain word as "by", "of", "the" before a longer one.
    fn plain(&self, run: &str, cuts: &[usize]) -> bool {
        let [cut] = cuts else { return false };
        run.len() - cut > 3
            && [
                "by", "of", "on", "to", "in", "the", "an", "and", "or", "is", "be", "for", "with",
                "this",
            ]
            .contains(&&run[..*cut])
    }
}

/// `meant` with the capitals of what was read.
fn in_case(meant: &str, read: &str) -> String {
    let capitals = read.chars().filter(|c| c.is_alphabetic());
    let all = capitals.clone().count() > 1 && capitals.clone().all(char::is_uppercase);
    if all {
        return meant.to_uppercase();
    }
    let mut chars = meant.to_lowercase().chars().collect::<Vec<char>>();
    if read.starts_with(char::is_uppercase)
        && let Some(first) = chars.first_mut()
    {
        *first = first.to_ascii_uppercase();
    }
    chars.into_iter().collect()
}

/// Whether the letters of `some` stand in `all` in the same order.
fn in_order(some: &str, all: &str) -> bool {
    let mut rest = all.bytes();
    some.bytes().all(|b| rest.any(|other| other == b))
}

/// Whether one letter more, less or other makes the one word of the other.
fn one_apart(a: &str, b: &str) -> bool {
    let (a, b) = (a.as_bytes(), b.as_bytes());
    let (short, long) = if a.len() <= b.len() { (a, b) } else { (b, a) };
    if long.len() - short.len() > 1 {
        return false;
    }
    let same = short.iter().zip(long).take_while(|(x, y)| x == y).count();
    let rest = usize::from(short.len() == long.len());
    short.get(same + rest..) == long.get(same + 1..) && a != b
}

/// Whether `read` put in place of `meant` once makes `target` of `word`.
fn replaces_once(word: &str, read: &str, meant: &str, target: &str) -> bool {
    word.match_indices(read).any(|(at, _)| {
        target.len() + read.len() == word.len() + meant.len()
            && target.get(..at) == Some(&word[..at])
            && target.get(at..at + meant.len()) == Some(meant)
            && target.get(at + meant.len()..) == Some(&word[at + read.len()..])
    })
}
