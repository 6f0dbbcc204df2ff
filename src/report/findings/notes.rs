//! Notes to what the rule and the letter say of a kind, and what was not read.

use std::fmt::Write as _;

use super::{clause_id, defect, in_doubt};
use crate::model::{KeyNote, LetterKey, RuleKey, RuleNote, Unread, UnreadKind};
use crate::patterns::Patterns;
use crate::report::{View, words};

/// What is noted to the rule's answer, as sentences, each once: two rules may carry one remark.
#[must_use]
pub fn rule_notes(patterns: &Patterns, key: &RuleKey) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for note in &key.notes {
        let sentence = rule_note(patterns, note);
        if !said.contains(&sentence) {
            said.push(sentence);
        }
    }
    said
}

fn rule_note(patterns: &Patterns, note: &RuleNote) -> String {
    match note {
        RuleNote::Remark { law, remark } => {
            let held = patterns.law.iter().find(|l| l.id == *law);
            let Some((file, note)) = held.and_then(|l| Some((&l.file, l.file.note.get(*remark)?)))
            else {
                return format!("«{law}»");
            };
            let checked = file.source.first();
            let checked = checked.map_or_else(String::new, |s| format!(", checked {}", s.checked));
            format!("{} (grade {}{checked})", note.text, note.grade)
        }
        RuleNote::CertificateNotSaid => CERTIFICATE_NOT_SAID.to_owned(),
        RuleNote::NoRule { kind, on } => patterns.statement.say(
            "no-rule",
            &[("kind", kind.title()), ("on", &on.to_string())],
        ),
    }
}

const CERTIFICATE_NOT_SAID: &str =
    "Which certificate this person holds is not said, so no rule can be looked up.";

/// What is noted to the letter's answer, as sentences.
#[must_use]
pub fn key_notes(view: &View<'_>, patterns: &Patterns, key: &LetterKey) -> Vec<String> {
    let told = key.notes.iter();
    told.map(|note| key_note(view, patterns, note)).collect()
}

pub(super) fn key_note(view: &View<'_>, patterns: &Patterns, note: &KeyNote) -> String {
    let clauses = |all: &[usize]| clauses(view, all);
    match note {
        KeyNote::Unread(what) => could_stand("A", &unread(*what)),
        KeyNote::NoLetter(paper) => format!(
            "This is no letter of operating limitations. It looks like {}.",
            crate::answer::paper_looks_like(*paper).unwrap_or("something else")
        ),
        KeyNote::AmendedLater { amended, on } => format!(
            "The amendment is of {amended}. On {on} the words before it held; hand in the letter \
             without the amendment."
        ),
        KeyNote::IssuedLater { issued, on } => format!(
            "This letter was issued on {issued}. On {on} another one was in force, or none; it \
             was not handed in."
        ),
        KeyNote::NoSuchCategory { on } => format!(
            "The paper is that of a light-sport category aircraft, which did not exist on {on}."
        ),
        KeyNote::CategoryList { law } => category_list(law, patterns),
        KeyNote::InDoubt { clause, doubt } => in_doubt(view, *clause, doubt),
        KeyNote::NamesUnread { clause } => format!(
            "{} limits who may inspect, but the names could not be read.",
            clauses(&[*clause])
        ),
        KeyNote::Flawed(flaw) => defect(view, patterns, flaw),
        KeyNote::GeneralYields(all) => format!(
            "{} of inspections in general; the clause for the named inspection goes before it.",
            does(view, all, "speak")
        ),
        KeyNote::SaysNotWho(all) => format!(
            "{} of this inspection too, without saying who may do it.",
            does(view, all, "speak")
        ),
        KeyNote::AnotherInspection {
            clauses: all,
            inspection,
        } => format!(
            "{} of another inspection ({}), which decides nothing here.",
            does(view, all, "speak"),
            inspection.name()
        ),
        KeyNote::AnotherClauseLost(flaw) => could_stand("Another", &defect(view, patterns, flaw)),
        KeyNote::InOneCase(all) => format!(
            "{} the kind out in one case only, and the facts do not say whether it is this \
             one; see the condition in its words.",
            does(view, all, "shut")
        ),
        KeyNote::EitherWay(all) => format!("{} {EITHER_WAY}", does(view, all, "say")),
        KeyNote::ConditionNotMet { clause, asks } => format!(
            "Clause {} names the kind on a condition that is not met ({asks}): it counts as not \
             in the list.",
            clause_id(view, *clause)
        ),
        KeyNote::ClosedWithout(all) => format!(
            "{} the list without the kind, and another clause on the same inspection names it.",
            does(view, all, "close")
        ),
        KeyNote::DemandNotMet { clause } => format!(
            "{} asks something of the kind that is not met.",
            clauses(&[*clause])
        ),
        KeyNote::SilentBeside(flaw) => silent_beside(&defect(view, patterns, flaw)),
        KeyNote::SilentBesideUnread(what) => silent_beside(&unread(*what)),
        KeyNote::Gap { issued } => patterns
            .statement
            .say("gap", &[("issued", &issued.to_string())]),
        KeyNote::NamedBeforeGeneral => NAMED_BEFORE_GENERAL.to_owned(),
        KeyNote::PerhapsNamedBeforeGeneral => PERHAPS_NAMED_BEFORE_GENERAL.to_owned(),
        KeyNote::NamedAndPerhapsShutOut => NAMED_AND_PERHAPS_SHUT_OUT.to_owned(),
        KeyNote::NamedAndShutOut => NAMED_AND_SHUT_OUT.to_owned(),
        KeyNote::GenericTerm => GENERIC_TERM.to_owned(),
        KeyNote::ClauseAlone => CLAUSE_ALONE.to_owned(),
        KeyNote::PerhapsReplaced => PERHAPS_REPLACED.to_owned(),
        KeyNote::DifferentAircraft => DIFFERENT_AIRCRAFT.to_owned(),
    }
}

/// "Clause 3 speaks", "Clauses 3 and 4 speak".
fn does(view: &View<'_>, all: &[usize], verb: &str) -> String {
    let ending = if all.len() > 1 { "" } else { "s" };
    format!("{} {verb}{ending}", clauses(view, all))
}

const EITHER_WAY: &str = "who inspects in one case only, and the facts do not say whether it is this \
    one; the answer is the same in both.";
const NAMED_BEFORE_GENERAL: &str = "A general clause shuts the kind out; the clause for this \
    inspection names it and goes before it.";
const PERHAPS_NAMED_BEFORE_GENERAL: &str = "A general clause shuts the kind out; the clause for \
    this inspection uses a term that may cover it.";
const NAMED_AND_PERHAPS_SHUT_OUT: &str =
    "One clause names the kind, another shuts out «repairmen», which may cover it.";
const NAMED_AND_SHUT_OUT: &str = "One clause lets the kind inspect, another shuts it out.";
const GENERIC_TERM: &str =
    "The clause uses a term that may or may not cover the kind; that is a dispute of its own.";
const CLAUSE_ALONE: &str =
    "This clause alone does not say who may inspect; another one of its letter may.";
const PERHAPS_REPLACED: &str = "No clause in force that was understood says who may inspect, and \
    words that did may have been replaced.";
const DIFFERENT_AIRCRAFT: &str =
    "The papers are of different aircraft; each of them is answered apart.";

fn could_stand(which: &str, lost: &str) -> String {
    let lost = words::capital(&words::sentence(lost));
    format!("{lost} {which} clause on inspectors could stand there.")
}

fn silent_beside(lost: &str) -> String {
    let lost = words::capital(&words::sentence(lost));
    format!("No clause that was read says who may inspect. {lost} The clause could stand there.")
}

fn category_list(law: &str, patterns: &Patterns) -> String {
    let mut closed_by = String::new();
    if let Some(held) = patterns.law.iter().find(|l| l.id == law) {
        closed_by.push_str(&held.file.citation);
        if let Some(source) = held.file.source.first() {
            let _ = write!(closed_by, ", {}, grade {}", source.locator, source.grade);
        }
    }
    format!(
        "This is no experimental letter: a rule says who inspects a light-sport category aircraft, \
         and closes the list ({closed_by})."
    )
}

/// "Clauses 4 and 7".
pub(super) fn clauses(view: &View<'_>, all: &[usize]) -> String {
    let ids: Vec<&str> = all
        .iter()
        .filter_map(|i| view.letter.clauses.get(*i))
        .map(|c| c.id.as_str())
        .collect();
    match ids.as_slice() {
        [] => "Another passage".to_owned(),
        [one] => format!("Clause {one}"),
        [first @ .., last] if first.len() < 8 => {
            format!("Clauses {} and {last}", first.join(", "))
        }
        many => format!("Clauses {} and others", many[..8].join(", ")),
    }
}

/// What was not read, in a sentence; a new kind has to be given its words.
fn unread(unread: Unread) -> String {
    let page = unread
        .page
        .map_or_else(|| "A page".to_owned(), |n| format!("Page {n}"));
    let small = page.to_lowercase();
    match unread.kind {
        UnreadKind::Scan => format!("{page} is a picture of paper that was not read."),
        UnreadKind::Drawn => format!("The words of {small} are drawn as shapes and were not read."),
        UnreadKind::Garbled => format!("The characters of {small} make no words."),
        UnreadKind::Broken => format!("{page} is damaged and may hold more than was read."),
        UnreadKind::Cut => format!("{page} breaks off before its end."),
        UnreadKind::Failed => format!("{page} could not be read."),
        UnreadKind::WithoutWords => format!("{page} is a picture in which no words were found."),
        UnreadKind::Empty => format!("{page} holds no text."),
        UnreadKind::Limit => "The file is longer than what was read of it.".to_owned(),
        UnreadKind::File => "A piece of the file is lost.".to_owned(),
        UnreadKind::Bytes => "Characters of the file are lost.".to_owned(),
    }
}
