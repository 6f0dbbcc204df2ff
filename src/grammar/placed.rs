//! Words that decide, at places where they could belong to something else than the analysis says: "by A,
//! only at such times as", "according to a checklist by A", "was reserved to A". Such a sentence is in doubt.

use super::chart::{Chart, Edge};
use super::lexer::Sentence;
use super::value::{Says, Value, flag, insp};
use crate::model::Form;
use crate::patterns::rules::Category;
use crate::patterns::{Token, WordList, WordLists};

/// The phrases that are looked at.
#[derive(Debug)]
pub(super) struct Places {
    /// "Only" behind whom it limits.
    only_behind: Category,
    /// Rows of words about something else.
    about_else: Vec<Category>,
    /// Open words, and phrases of other times.
    open: Vec<Category>,
    interval: Category,
    /// A preposition with a noun that says nothing.
    aside: Category,
    preposition: Category,
    /// "By A".
    agent: Category,
    /// Forms of "be".
    be: Category,
    /// What states something of persons, and its modal.
    states: Vec<Category>,
    list: Category,
    others: Vec<Category>,
    inspection: Vec<Category>,
}

impl Places {
    pub(super) fn of(
        category: &impl Fn(&str) -> Result<Category, String>,
        inspection: &[Category],
        others: &[Category],
    ) -> Result<Self, String> {
        let all = |names: &[&str]| -> Result<Vec<Category>, String> {
            names.iter().map(|name| category(name)).collect()
        };
        Ok(Self {
            only_behind: category("ONLYEND")?,
            about_else: all(&["OPENN", "OPENM"])?,
            open: all(&["OPEN", "LOOSE", "UNRELATED"])?,
            interval: category("EVERY")?,
            aside: category("HADV")?,
            preposition: category("PREPW")?,
            agent: category("BY")?,
            be: category("IS")?,
            states: all(&["C", "MODAL", "GMODAL", "SMODAL", "GSMODAL"])?,
            list: category("L")?,
            others: others.to_vec(),
            inspection: inspection.to_vec(),
        })
    }
}

/// A phrase on the way down from the root.
struct Step {
    at: u32,
    /// The category of the phrase that holds it.
    parent: Option<Category>,
    /// Whether it stands in words about something else.
    within: bool,
}

impl Places {
    /// Whether a word that decides stands in an analysis where it could belong to something else.
    pub(super) fn misplaced(&self, words: &Words<'_>, chart: &Chart, root: u32) -> bool {
        let Value::Says(says) = &chart.edges[root as usize].value else {
            return false;
        };
        let states = |s: &Says| s.form != Form::None || !s.persons.excluded.is_empty();
        let lists = says.iter().any(states);
        let bars = !lists && self.bars_flight_after(words, chart);
        let closes = says.iter().any(|s| s.persons.flags & flag::CLOSES != 0);
        if closes && self.obliges_others(words, chart)
            || lists && self.only_might(words)
            || lists && self.is_led_in(words)
        {
            return true;
        }
        let limits = closes || says.iter().any(shuts_out) || words.any(WordList::Limits);
        let mut open: Vec<std::ops::Range<usize>> = Vec::new();
        let mut agents: Vec<usize> = Vec::new();
        let mut todo = vec![Step {
            at: root,
            parent: None,
            within: false,
        }];
        while let Some(Step { at, parent, within }) = todo.pop() {
            let edge = &chart.edges[at as usize];
            if self.limits_what_follows(words, edge)
                || bars && self.is_agent(words, edge)
                || lists && (within && self.goes_on_with_or(words, edge))
                || lists && self.is_past(words, edge, parent)
                || lists && self.is_object(words, chart, edge)
                || limits && self.is_place(words, chart, edge)
            {
                return true;
            }
            if self.is_open(edge) {
                open.push(usize::from(edge.start)..usize::from(edge.end));
            }
            if edge.category == self.agent {
                agents.push(usize::from(edge.start));
            }
            let within = within || self.about_else.contains(&edge.category);
            todo.extend(chart.children(edge).iter().map(|&child| Step {
                at: child,
                parent: Some(edge.category),
                within,
            }));
        }
        // "as prescribed by A": of another participle
        let authored = |start: usize| {
            words
                .lists
                .has(&words.at(start.wrapping_sub(1)), WordList::Authored)
        };
        let of_another_noun =
            |&start: &usize| open.iter().any(|words| words.end == start) || authored(start);
        lists
            && (agents.iter().any(of_another_noun)
                || open.iter().any(|range| words.conceals(range)))
    }

    /// "Nobody else has to": says nothing of who may.
    fn obliges_others(&self, words: &Words<'_>, chart: &Chart) -> bool {
        let lists = words.lists;
        let of_others = |e: &&Edge| self.others.contains(&e.category);
        chart.edges.iter().filter(of_others).any(|others| {
            let behind = |n: usize| words.at(usize::from(others.end) + n);
            lists.has(&behind(0), WordList::Obliges)
                || lists.has(&behind(0), WordList::Finite)
                    && (1..=2).any(|n| lists.has(&behind(n), WordList::Obliged))
        })
    }

    /// "May be prohibited", "the office may require": it can come, and has not.
    fn only_might(&self, words: &Words<'_>) -> bool {
        let lists = words.lists;
        (0..words.sentence.tokens.len()).any(|at| {
            let may = matches!(words.at(at).as_str(), "may" | "can" | "might" | "could");
            let be = usize::from(words.at(at + 1) == "be");
            may && (lists.has(&words.at(at + 1 + be), WordList::Ordered) && be == 1
                || be == 0 && lists.has(&words.at(at + 1), WordList::Orders))
        })
    }

    /// "No person may operate this aircraft if the inspection was performed by A": he is shut out in effect.
    fn bars_flight_after(&self, words: &Words<'_>, chart: &Chart) -> bool {
        let inspected = |e: &Edge| self.inspection.contains(&e.category);
        words.any(WordList::Operated)
            && words.any(WordList::Limits)
            && chart.edges.iter().any(inspected)
    }

    /// "Performed by A", and not "developed by A".
    fn is_agent(&self, words: &Words<'_>, edge: &Edge) -> bool {
        let before = |n: usize| words.at(usize::from(edge.start).wrapping_sub(n));
        edge.category == self.list
            && before(1) == "by"
            && !words.lists.has(&before(2), WordList::Authored)
    }

    /// "The following apply when the aircraft is rented: only A may".
    fn is_led_in(&self, words: &Words<'_>) -> bool {
        words.at(0) == "the"
            && words.at(1) == "following"
            && words.lists.has(&words.at(2), WordList::Applies)
            && !matches!(words.at(3).as_str(), ":" | "to" | "")
    }

    /// "At the home base only A may", "all others are excluded from the hangar": what is limited to a place.
    fn is_place(&self, words: &Words<'_>, chart: &Chart, edge: &Edge) -> bool {
        let is = |at| words.lists.has(&words.at(at), WordList::Place);
        self.is_prepositional(chart, edge)
            && (usize::from(edge.start)..usize::from(edge.end)).any(is)
    }

    /// A preposition with a noun that says nothing.
    fn is_prepositional(&self, chart: &Chart, edge: &Edge) -> bool {
        let preposition = |&c: &u32| chart.edges[c as usize].category == self.preposition;
        edge.category == self.aside && chart.children(edge).first().is_some_and(preposition)
    }

    /// "By A, only at such times as": it limits what follows.
    fn limits_what_follows(&self, words: &Words<'_>, edge: &Edge) -> bool {
        edge.category == self.only_behind
            && words
                .lists
                .has(&words.at(usize::from(edge.end)), WordList::LimitedByOnly)
    }

    /// "…, or by B" within words about something else.
    fn goes_on_with_or(&self, words: &Words<'_>, edge: &Edge) -> bool {
        edge.category == self.list && words.at(usize::from(edge.start).wrapping_sub(1)) == "or"
    }

    /// "Was reserved to A": it is no longer said that it is.
    fn is_past(&self, words: &Words<'_>, edge: &Edge, parent: Option<Category>) -> bool {
        edge.category == self.be
            && parent.is_some_and(|parent| self.states.contains(&parent))
            && matches!(words.at(usize::from(edge.start)).as_str(), "was" | "were")
    }

    /// "The inspection of the records": of what it is, no aside; "by any person": an agent.
    fn is_object(&self, words: &Words<'_>, chart: &Chart, edge: &Edge) -> bool {
        let behind_inspection = || {
            let noun = |e: &Edge| self.inspection.contains(&e.category) && e.end == edge.start;
            chart.edges.iter().any(noun)
        };
        self.is_prepositional(chart, edge)
            && match words.at(usize::from(edge.start)).as_str() {
                "by" => true,
                "of" => behind_inspection(),
                _ => false,
            }
    }

    /// Whether a phrase ends with words that may have an agent of their own.
    fn is_open(&self, edge: &Edge) -> bool {
        self.open.contains(&edge.category)
            || edge.category == self.interval && edge.value == Value::Inspections(insp::OTHER)
    }
}

/// Whether a statement shuts somebody out and lists nobody.
fn shuts_out(says: &Says) -> bool {
    says.form == Form::None && !says.persons.excluded.is_empty()
}

/// The words of a sentence.
pub(super) struct Words<'a> {
    pub(super) text: &'a str,
    pub(super) tokens: &'a [Token],
    pub(super) sentence: &'a Sentence,
    pub(super) lists: &'a WordLists,
}

impl Words<'_> {
    /// In small letters; empty behind the end.
    fn at(&self, at: usize) -> String {
        self.sentence.word(self.text, self.tokens, at)
    }

    /// Whether one of its words is of the list.
    fn any(&self, list: WordList) -> bool {
        (0..self.sentence.tokens.len()).any(|at| self.lists.has(&self.at(at), list))
    }

    /// Open words that limit, or that are a statement of their own: "permission is given".
    fn conceals(&self, range: &std::ops::Range<usize>) -> bool {
        let any = |list| range.clone().any(|at| self.lists.has(&self.at(at), list));
        self.conceals_only(range) || any(WordList::Grant) && any(WordList::Finite)
    }

    /// "Though only on the engine", "the last only before sale": open words that limit.
    fn conceals_only(&self, range: &std::ops::Range<usize>) -> bool {
        range.clone().any(|at| {
            matches!(self.at(at).as_str(), "only" | "solely" | "alone")
                && self
                    .lists
                    .has(&self.at(at.wrapping_sub(1)), WordList::Concedes)
        })
    }
}
