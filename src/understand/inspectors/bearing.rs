//! Sentences that bear on a list of inspectors and do not speak of an inspection: "Optional." behind it,
//! "Limitation 14 is waived", "Repair stations have no privileges". A sentence of this kind that the
//! grammar has not read leaves the list in doubt.

use std::ops::Range;

use super::unit::Unit;
use crate::document::force::announces;
use crate::grammar::{
    Around, ClauseReading, Grammar, Persons, SentenceReading, Statement, Understood, genitive,
    is_modal, points,
};
use crate::model::{Clause, Form, Inspection, Span};
use crate::patterns::{Patterns, Token, TokenKind, WordList};

/// A fragment of more words is taken for prose that a table or a scan has broken.
const LONGEST_FRAGMENT: usize = 6;
/// How far behind the noun the numbers of clauses may stand.
const NUMBERS: usize = 14;
/// In so many words a term stands with the verb of its definition.
const TERM: usize = 5;
/// Words of the longest name of a kind of person: "repair station".
const LONGEST_NAME: usize = 2;
/// How far behind the asking its object may stand, and the certificate behind "for".
const ASKED_FOR: usize = 9;

/// Puts in doubt the lists on which a sentence bears that was not read.
pub(super) fn weigh(
    scene: &Scene<'_>,
    clauses: &[Clause],
    units: &[Unit],
    around: &Around<'_>,
    readings: &mut [ClauseReading],
) {
    let says_who: Vec<bool> = readings.iter().map(says_who).collect();
    let anybody = says_who.contains(&true);
    let mut found: Vec<(usize, Span)> = Vec::new();
    for (n, reading) in readings.iter().enumerate() {
        for sentence in &reading.sentences {
            let range = scene.range(sentence.span);
            if says_who[n] && scene.bears_plainly(sentence, &range) {
                found.push((n, sentence.span));
                continue;
            }
            // One that speaks of an inspection, or of whom another one points to, was judged by the grammar.
            if sentence.understood != Understood::Beside
                || !sentence.mentions.is_empty()
                || scene.any(&range, WordList::Inspecting)
                || scene.any(&range, WordList::Applicability)
                || scene.is_signature(&range)
                || scene.is_clerical(&range, around)
                || scene.announces(&range)
            {
                continue;
            }
            let referred = referred(scene, &range, n, clauses, units);
            let apart = scene.starts_a_paragraph(sentence.span);
            if says_who[n] && scene.is_of_the_list(&range, apart, around) {
                found.push((n, sentence.span));
            } else if referred.iter().any(|&at| says_who[at]) {
                let of = referred.into_iter().filter(|&at| says_who[at]);
                found.extend(of.map(|at| (at, sentence.span)));
            } else if n > 0 && says_who[n - 1] && scene.is_of_others(&range) {
                found.push((n - 1, sentence.span));
            } else if scene.is_stamp(&range)
                || scene.changes_the_letter(&range)
                || scene.changes_authority(&range, around)
                || scene.does_the_unknown(&range, around)
                || scene.names_the_unknown(&range, around)
            {
                let of = (0..readings.len()).filter(|&at| says_who[at]);
                found.extend(of.map(|at| (at, sentence.span)));
                if !anybody {
                    found.push((n, sentence.span));
                }
            }
        }
        if says_who[n]
            && let Some(gap) = scene.lost_item(units[n].body)
        {
            found.push((n, gap));
        }
    }
    for (at, words) in found {
        let reading = &mut readings[at];
        if reading.statements.is_empty() {
            reading.statements.push(Statement {
                inspection: Inspection::Any,
                adds: false,
                form: Form::None,
                persons: Persons::default(),
                span: words,
                doubt: Vec::new(),
            });
        }
        for statement in &mut reading.statements {
            statement.doubt.push(words);
        }
    }
}

/// Whether a clause says who inspects, or who does not, and was read.
fn says_who(reading: &ClauseReading) -> bool {
    reading.statements.iter().any(|s| {
        s.doubt.is_empty()
            && s.inspection != Inspection::Other
            && (s.form != Form::None || !s.persons.excluded.is_empty())
    })
}

/// Whether a sentence itself says nothing of who inspects.
fn says_nothing(sentence: &SentenceReading) -> bool {
    matches!(sentence.understood, Understood::Beside | Understood::Read) && sentence.only_speaks()
}

/// The text with what is known of its words.
pub(super) struct Scene<'a> {
    pub(super) text: &'a str,
    pub(super) tokens: &'a [Token],
    pub(super) grammar: &'a Grammar,
    pub(super) patterns: &'a Patterns,
}

impl Scene<'_> {
    fn range(&self, span: Span) -> Range<usize> {
        self.tokens.partition_point(|t| t.span.start < span.start)
            ..self.tokens.partition_point(|t| t.span.start < span.end)
    }

    /// Whether a sentence of a clause that says who inspects asks for something besides, or says which
    /// inspection is meant.
    fn bears_plainly(&self, sentence: &SentenceReading, range: &Range<usize>) -> bool {
        let meant = sentence.understood == Understood::Beside
            && self.any(range, WordList::Inspecting)
            && self.any(range, WordList::RuleItself)
            && !self.any(range, WordList::Recorded);
        meant || says_nothing(sentence) && self.adds_requirement(range)
    }

    /// "Nothing here restricts the privileges of § 65.104", "the lists in this letter are not exclusive", "in this
    /// letter, «may» means «must»", "these limitations are advisory": what bears on every list of a letter.
    fn changes_the_letter(&self, range: &Range<usize>) -> bool {
        let word = |at: usize| self.word(at);
        let rule = range.clone().any(|at| {
            self.is(at, WordList::PersonRule)
                && at > range.start
                && self.is(at - 1, WordList::BeforeRule)
        });
        let somebodys = genitive(&self.patterns.list, &word, range.clone())
            && self.any(range, WordList::RuleItself);
        let quoted = range
            .clone()
            .any(|at| matches!(self.word(at).as_str(), "\"" | "“"));
        // "May here means shall": the word is the first of its sentence, with or without marks.
        let opening = range.start..range.end.min(range.start + TERM);
        let modal = is_modal(&self.word(range.start)) && self.any(&opening, WordList::Defines);
        let defines = modal
            || quoted && self.any(range, WordList::Defines) && self.any(range, WordList::Redefined);
        // "Whatever is not permitted here is forbidden"
        let all = range.start..range.end.min(range.start + 2);
        let the_rest = self.any(&all, WordList::Everything)
            && range.clone().any(|at| self.word(at) == "not")
            && self.any(range, WordList::Authority)
            && self.any(range, WordList::Barred);
        let lists = self.any(range, WordList::ListNoun) && self.any(range, WordList::HowFull);
        let annuls = self.any(range, WordList::LetterNoun)
            && self.any(range, WordList::Annuls)
            && !self.any(range, WordList::FormerPaper);
        rule && self.any(range, WordList::Affects)
            || somebodys
            || defines
            || the_rest
            || lists
            || annuls
    }

    fn word(&self, at: usize) -> String {
        self.tokens
            .get(at)
            .map_or_else(String::new, |t| t.span.of(self.text).to_ascii_lowercase())
    }

    fn is(&self, at: usize, list: WordList) -> bool {
        let word = self.tokens.get(at).map(|t| t.span.of(self.text));
        word.is_some_and(|word| self.patterns.list.has(word, list))
    }

    fn any(&self, range: &Range<usize>, list: WordList) -> bool {
        range.clone().any(|at| self.is(at, list))
    }

    /// Whether a blank line stands before it.
    fn starts_a_paragraph(&self, span: Span) -> bool {
        let before = &self.text[..span.start];
        let blank = &before[before.trim_end().len()..];
        blank.matches('\n').count() > 1
    }

    /// "Limitation 8 is amended to read": what it says of a clause by its number is carried out elsewhere. "The
    /// privileges of § 65.104 are withdrawn" is of no clause.
    fn announces(&self, range: &Range<usize>) -> bool {
        let of_a_clause = |at: usize| {
            self.tokens[at].kind == TokenKind::Number && !self.is(at, WordList::PersonRule)
        };
        range.clone().any(of_a_clause) && announces(self.text, self.tokens, range, self.patterns)
    }

    /// "Approval of the office is required", "he must pass a test": what must be beside the act, and is no record.
    fn adds_requirement(&self, range: &Range<usize>) -> bool {
        let demands = |at: usize| {
            self.is(at, WordList::Obliges)
                || self.is(at, WordList::Obliged)
                || matches!(self.word(at).as_str(), "shall" | "is" | "are")
        };
        let denied = |at: usize| {
            matches!(
                self.word(at).as_str(),
                "not" | "no" | "never" | "neither" | "without" | "nobody" | "nothing"
            )
        };
        if range.clone().any(denied) || self.any(range, WordList::Recorded) {
            return false;
        }
        self.any(range, WordList::Waive)
            || range.clone().any(demands) && self.any(range, WordList::Requirement)
    }

    /// "CANCELLED June 3, 2004" over or under a letter.
    fn is_stamp(&self, range: &Range<usize>) -> bool {
        self.is(range.start, WordList::Stamp) && !self.any(range, WordList::Finite)
    }

    /// The words between two items of a list of which one is missing: "(a) ... (c)".
    fn lost_item(&self, body: Span) -> Option<Span> {
        let mut last: Option<(u8, Span)> = None;
        for at in self.range(body) {
            let label = self.word(at);
            let [label] = label.as_bytes() else {
                continue;
            };
            let alone = self.word(at + 1) == ")"
                && at > 0
                && self.word(at - 1) == "("
                && !self.tokens[at - 1].glued;
            if !alone || !label.is_ascii_alphanumeric() {
                continue;
            }
            let span = self.tokens[at].span;
            if let Some((before, from)) = last
                && *label > before + 1
                && label.is_ascii_digit() == before.is_ascii_digit()
            {
                return Some(Span::new(from.start, span.end));
            }
            if last.is_some() || matches!(label, b'a' | b'1') {
                last = Some((*label, span));
            }
        }
        None
    }

    /// "Issued by: ..."
    fn is_signature(&self, range: &Range<usize>) -> bool {
        let label = range.clone().find(|&at| self.word(at) == ":");
        label.is_some_and(|at| at > range.start && self.word(at - 1) == "by")
    }

    /// "Questions about this paragraph may be sent to this office": what to keep, send or ask names nobody
    /// who could inspect, and points to nothing but the letter.
    fn is_clerical(&self, range: &Range<usize>, around: &Around<'_>) -> bool {
        let mut opening = range
            .clone()
            .skip_while(|&at| self.is(at, WordList::ClericalFore));
        opening
            .next()
            .is_some_and(|at| self.is(at, WordList::Clerical))
            && !self.any(range, WordList::Authority)
            && !range.clone().any(|at| {
                self.is(at, WordList::PointsBack) && !self.is(at, WordList::PointsToLetter)
            })
            && !self.names_who_could(range, around)
    }

    /// Whether a sentence beside a list is about the list: a fragment without a verb, one that points
    /// back, one that names somebody who could inspect. A paragraph `apart` with a label is the
    /// foot of a letter.
    fn is_of_the_list(&self, range: &Range<usize>, apart: bool, around: &Around<'_>) -> bool {
        if apart && range.clone().any(|at| self.word(at) == ":") {
            return false;
        }
        let names = self.names_who_could(range, around);
        let words = range
            .clone()
            .filter(|&at| self.tokens[at].kind != TokenKind::Mark)
            .count();
        let fragment = !apart && words <= LONGEST_FRAGMENT && !self.any(range, WordList::Finite);
        let spoken = range
            .clone()
            .any(|at| self.tokens[at].kind == TokenKind::Word && self.word(at).len() > 1);
        spoken
            && (fragment || names || self.points_out(range) || self.is_about_the_rule(range))
            && (names
                || !self
                    .grammar
                    .is_clerical(self.text, self.tokens, range.clone(), around))
    }

    /// Whether a word of a sentence points to a list beside it. "The aircraft shall not be flown while it
    /// is damaged": a pronoun behind what a letter is about means that, where nothing is said of authority.
    fn points_out(&self, range: &Range<usize>) -> bool {
        let word = |at: usize| self.word(at);
        let quiet = !self.any(range, WordList::Authority)
            && !self.any(range, WordList::Performs)
            && !self.any(range, WordList::Validity);
        let settled = |at: usize| {
            quiet
                && self.is(at, WordList::RefersToThing)
                && (range.start..at).any(|n| self.is(n, WordList::OfLetter))
        };
        range
            .clone()
            .any(|at| points(&self.patterns.list, &word, range.start, at, quiet) && !settled(at))
    }

    /// "The permission lapses", "the restriction was removed", "the builder's right has ended": a sentence
    /// about the rule itself.
    fn is_about_the_rule(&self, range: &Range<usize>) -> bool {
        let word = |at: usize| self.word(at);
        let verb = range.clone().find(|&at| self.is(at, WordList::Finite));
        let there = self.word(range.start) == "there";
        let subject = range.start..verb.filter(|_| !there).unwrap_or(range.end);
        let quoted = range
            .clone()
            .any(|at| matches!(self.word(at).as_str(), "\"" | "“" | "”"));
        self.any(range, WordList::RuleItself)
            || self.any(&subject, WordList::RuleNoun)
            || (quoted || self.any(range, WordList::PartOfClause))
                && self.any(range, WordList::Authority)
            || genitive(&self.patterns.list, &word, range.clone())
    }

    /// "No other person may do so" behind a list.
    fn is_of_others(&self, range: &Range<usize>) -> bool {
        self.any(range, WordList::Others)
            && range.clone().any(|at| {
                self.is(at, WordList::Performs) && matches!(self.word(at + 1).as_str(), "so" | "it")
            })
    }

    /// Whether a sentence names somebody who could inspect and gives, takes or changes authority.
    fn changes_authority(&self, range: &Range<usize>, around: &Around<'_>) -> bool {
        let gives = |at: usize| self.is(at, WordList::Authority) && !self.asks(at, range.end);
        range.clone().any(gives) && self.names_who_could(range, around)
    }

    /// "May apply to the FAA for a repairman certificate": who asks has nothing yet.
    fn asks(&self, at: usize, end: usize) -> bool {
        let certificate = |n: usize| self.is(n, WordList::Certificate);
        let for_one =
            |n: usize| self.word(n) == "for" && (n..end.min(n + ASKED_FOR)).any(certificate);
        matches!(self.word(at + 1).as_str(), "to" | "for")
            && (at + 1..end.min(at + ASKED_FOR)).any(for_one)
    }

    /// "The condition blorven shall be performed by a mechanic": the word that is not known may be the
    /// inspection, misread.
    fn does_the_unknown(&self, range: &Range<usize>, around: &Around<'_>) -> bool {
        let unknown = |at: usize| {
            let before = at.wrapping_sub(1);
            let named = self.is(before, WordList::Condition)
                || self.is(before, WordList::BeforeInspection)
                || matches!(self.word(before).as_str(), "such" | "this");
            let token = &self.tokens[at];
            token.kind == TokenKind::Word && token.word == 0 && token.span.len() > 3 && named
        };
        let by = |at: usize| self.word(at) == "by";
        let done = self.any(range, WordList::Performs);
        // a row of a table has no verb: "Condition blorven ..... A mechanic"
        let listed = !self.any(range, WordList::Finite);
        range.clone().any(unknown)
            && (done && range.clone().any(by)
                || (done || listed) && self.names_who_could(range, around))
    }

    /// "A quastile repair station", "the builder's sorvent certificate": who is meant, or what he holds, is not
    /// known.
    fn names_the_unknown(&self, range: &Range<usize>, around: &Around<'_>) -> bool {
        let label = |at: usize| self.word(at) == ":";
        if range.clone().any(label) || !self.any(range, WordList::Finite) {
            return false;
        }
        let names = self.names_who_could(range, around);
        let someone = |at: usize| {
            range.contains(&at)
                && (self.is(at, WordList::Certificate)
                    || names
                        && self.names_who_could(&(at..range.end.min(at + LONGEST_NAME)), around))
        };
        range.clone().any(|at| {
            let token = &self.tokens[at];
            let word = token.span.of(self.text);
            let known = token.kind != TokenKind::Word || token.word != 0 || word.len() <= 3;
            !known && someone(at + 1)
        })
    }

    fn names_who_could(&self, range: &Range<usize>, around: &Around<'_>) -> bool {
        self.grammar
            .speaks_of_who_could(self.text, self.tokens, range.clone(), around)
    }
}

/// The units to which a sentence refers by number, by order ("the preceding limitation") or by a row
/// ("limitations 3 through 9").
fn referred(
    scene: &Scene<'_>,
    range: &Range<usize>,
    own: usize,
    clauses: &[Clause],
    units: &[Unit],
) -> Vec<usize> {
    let unit_of = &|label: &str| {
        let clause = clauses.iter().position(|c| {
            let number = c.number.as_ref();
            number.is_some_and(|n| n.label.eq_ignore_ascii_case(label))
        })?;
        units.iter().rposition(|u| u.clause <= clause)
    };
    let mut out = Vec::new();
    // A lead-in refers to what stands below it, and a list of what holds in phase II takes nothing away.
    let leads_in = range.end > 0 && scene.word(range.end - 1) == ":";
    let phase_two = range.clone().any(|at| {
        scene.is(at, WordList::Phase) && matches!(scene.word(at + 1).as_str(), "2" | "ii" | "two")
    });
    if leads_in || phase_two {
        return out;
    }
    for at in range
        .clone()
        .filter(|&at| scene.is(at, WordList::ClauseNoun))
    {
        let beside = [at.wrapping_sub(1), at.wrapping_sub(2)];
        // "In addition to limitation 6, the pilot may": it stays as it is
        if range.contains(&at.wrapping_sub(2))
            && scene.word(at - 1) == "to"
            && scene.is(at - 2, WordList::Addition)
        {
            continue;
        }
        // "All of the above limitations": every one of them
        let plural = scene.word(at).ends_with('s');
        if plural && !scene.any(range, WordList::Authority) {
            continue;
        }
        let beside = |list| {
            beside
                .iter()
                .any(|&b| range.contains(&b) && scene.is(b, list))
        };
        if beside(WordList::Preceding) {
            out.extend(if plural { 0 } else { own.saturating_sub(1) }..own);
        }
        if beside(WordList::Following) {
            out.extend(own + 1..if plural { units.len() } else { own + 2 });
        }
        out.extend(numbered(
            scene,
            at + 1..range.end.min(at + NUMBERS),
            unit_of,
        ));
    }
    out.extend(in_brackets(scene, range, unit_of).filter(|unit| *unit != own));
    out.retain(|&at| at < units.len());
    out.sort_unstable();
    out.dedup();
    out
}

/// "7", "3 and 7", "3 through 9" behind a noun for clauses.
fn numbered(
    scene: &Scene<'_>,
    behind: Range<usize>,
    unit_of: impl Fn(&str) -> Option<usize>,
) -> Vec<usize> {
    let mut out = Vec::new();
    let mut last: Option<usize> = None;
    let mut through = false;
    for at in behind {
        let word = scene.word(at);
        if let Some(unit) = unit_of(&word) {
            match last.filter(|_| through) {
                Some(first) => out.extend(first..=unit.max(first)),
                None => out.push(unit),
            }
            last = Some(unit);
            through = false;
        } else if scene.is(at, WordList::Through) || matches!(word.as_str(), "-" | "–") {
            through = last.is_some();
        } else if scene.tokens[at].kind == TokenKind::Word
            && !matches!(word.as_str(), "and" | "or" | "no")
        {
            break;
        }
    }
    out
}

/// "No business with (3)": a number in brackets behind a preposition, which is no item of a list.
fn in_brackets(
    scene: &Scene<'_>,
    range: &Range<usize>,
    unit_of: impl Fn(&str) -> Option<usize>,
) -> impl Iterator<Item = usize> {
    range.clone().skip(1).filter_map(move |at| {
        let behind = matches!(
            scene.word(at - 1).as_str(),
            "with" | "in" | "under" | "of" | "by" | "to" | "per" | "from"
        );
        let bracketed = behind && scene.word(at) == "(" && scene.word(at + 2) == ")";
        bracketed.then(|| unit_of(&scene.word(at + 1))).flatten()
    })
}
