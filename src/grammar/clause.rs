//! The sentences of a clause, joined: to what "it", "such persons" and "the latter" look back,
//! what closes or adds to a list that stands already, and what two sentences together leave open.

use std::collections::BTreeSet;

use super::action::names_no_list;
use super::value::{Inspections, Named, Persons, Says, flag, insp};
use super::{Around, Grammar, SentenceReading, Understood, What};
use crate::model::{Form, Inspection, Kind, Span};
use crate::patterns::Token;

/// What the clauses before this one leave open.
#[derive(Clone, Debug, Default)]
pub(crate) struct Before {
    /// The inspection last spoken of.
    pub(crate) inspection: Inspections,
    /// Whom the term means that the letter defines.
    pub(crate) defined: Option<Persons>,
}

/// One statement of a clause on one inspection.
#[derive(Clone, Debug)]
pub(crate) struct Statement {
    /// Which.
    pub(crate) inspection: Inspection,
    /// Whether the list is closed.
    pub(crate) form: Form,
    /// Persons named and shut out, and the flags.
    pub(crate) persons: Persons,
    /// The sentence.
    pub(crate) span: Span,
    /// Whether it only adds to a list that stands already: "a mechanic may also perform it".
    pub(crate) adds: bool,
    /// Why it is in doubt: the words that were not understood.
    pub(crate) doubt: Vec<Span>,
}

/// A clause as it was read.
pub(crate) struct ClauseReading {
    /// Its sentences.
    pub(crate) sentences: Vec<SentenceReading>,
    /// What it says, put together for each inspection.
    pub(crate) statements: Vec<Statement>,
    /// The inspection last spoken of, for the next clause.
    pub(crate) inspection: Inspections,
    /// Whom a term means that it defines.
    pub(crate) defined: Option<Persons>,
    /// Sentences that say that a list is not all.
    pub(crate) opened: Vec<Span>,
}

/// Reads the sentences of a clause; `sentences` are ranges of tokens.
pub(crate) fn read_sentences(
    grammar: &Grammar,
    text: &str,
    tokens: &[Token],
    sentences: &[std::ops::Range<usize>],
    around: &Around<'_>,
) -> Vec<SentenceReading> {
    let mut readings: Vec<SentenceReading> = Vec::new();
    let mut going_on = false;
    for range in sentences {
        let reading = grammar.read(text, tokens, range.clone(), around, going_on);
        // A sentence that names an inspection can be gone on with: "it may be performed by".
        going_on |= !reading.says.is_empty()
            || reading.inspections != 0
            || matches!(reading.understood, Understood::Doubt(_));
        readings.push(reading);
    }
    // To whom "such persons" may point, where the sentence before says nothing of who inspects.
    let looks_back = flag::BACK | flag::THEY | flag::LATTER | flag::FORMER;
    let pointed = readings
        .iter()
        .flat_map(|r| &r.says)
        .any(|s| s.persons.flags & looks_back != 0);
    if pointed {
        for (reading, range) in readings.iter_mut().zip(sentences) {
            if reading.places.is_empty() {
                reading.mentions = grammar.mentions(text, tokens, range.clone(), around);
            }
        }
    }
    readings
}

/// Puts together what the sentences of a clause say.
pub(crate) fn join(readings: Vec<SentenceReading>, before: &Before) -> ClauseReading {
    let mut joined = Joined {
        last: before.inspection,
        defined: before.defined.clone(),
        ..Joined::default()
    };
    // A term may be defined behind its use.
    for says in readings.iter().flat_map(|r| &r.says) {
        if says.persons.flags & flag::DEFINES != 0 {
            let mut defined = says.persons.clone();
            defined.flags &= !flag::DEFINES;
            joined.defined = Some(defined);
        }
    }
    for reading in &readings {
        joined.sentence(reading);
    }
    let statements = joined.together();
    ClauseReading {
        statements,
        inspection: joined.last,
        defined: joined.defined.take(),
        opened: joined.opened,
        sentences: readings,
    }
}

/// Statements with the sentence that each stands in.
#[derive(Default)]
struct Joined {
    last: Inspections,
    /// Whether an inspection of something else was spoken of after it.
    of_another: bool,
    /// Whether the sentence before says something else than who inspects.
    aside: bool,
    defined: Option<Persons>,
    /// Persons spoken of so far, in order.
    mentioned: Vec<Named>,
    atoms: Vec<(Says, Span)>,
    doubts: Vec<(Inspections, Span, Vec<Span>)>,
    opened: Vec<Span>,
}

impl Joined {
    fn sentence(&mut self, reading: &SentenceReading) {
        let named_here = reading.inspections;
        let mut spoken: Vec<Named> = reading.mentions.clone();
        for place in &reading.places {
            if let What::Person(persons) = &place.what {
                for named in &persons.named {
                    if !spoken.iter().any(|n| n.kind == named.kind) {
                        spoken.push(*named);
                    }
                }
            }
        }
        if let Understood::Doubt(words) = &reading.understood {
            // Which inspection it speaks of is in doubt too, unless its own noun says so.
            let about = if reading.inspection_said {
                named_here
            } else {
                insp::YEARLY | insp::HUNDRED
            };
            self.doubts.push((about, reading.span, words.clone()));
        }
        for (n, says) in reading.says.iter().enumerate() {
            // Whom a later statement of the sentence names, this one does not look back to.
            let later = |kind: Kind| {
                let named = reading.says[n + 1..].iter().flat_map(|s| &s.persons.named);
                named.into_iter().any(|named| named.kind == kind)
            };
            let before: Vec<Named> = spoken.iter().filter(|s| !later(s.kind)).copied().collect();
            self.says(says, reading, &before);
        }
        if reading.says.is_empty() && named_here != 0 && reading.understood == Understood::Beside {
            self.last = last_bit(named_here);
        }
        if reading.another.any {
            self.of_another = true;
        } else if named_here != 0 {
            self.of_another = false;
        }
        if !spoken.is_empty() {
            self.mentioned = spoken;
        }
        self.aside = reading.only_speaks();
    }

    fn says(&mut self, says: &Says, reading: &SentenceReading, spoken: &[Named]) {
        let mut says = says.clone();
        if says.persons.flags & flag::SPEAKS != 0 {
            return;
        }
        if says.persons.flags & flag::OPENS != 0 {
            self.opened.push(reading.span);
            return;
        }
        if says.persons.flags & flag::DEFINES != 0 {
            says.persons.flags &= !flag::DEFINES;
            self.defined = Some(says.persons);
            return;
        }
        // "A mechanic may assist. So may a repair station": what it may was said in the sentence before.
        let so =
            says.persons.flags & (flag::SO | flag::ALSO) != 0 && says.inspections == insp::BACK;
        if so && self.aside {
            self.doubts
                .push((self.last, reading.span, vec![reading.span]));
        }
        if !self.look_back(&mut says, reading, spoken) {
            let about = if says.inspections == insp::BACK {
                self.last
            } else {
                says.inspections
            };
            self.doubts.push((about, reading.span, vec![reading.span]));
        }
        // "A 100-hour inspection shall be made, and it shall be made by": which of them is "it"?
        let named_here = reading.inspections & !insp::ANY;
        if says.inspections == insp::BACK
            && self.last != 0
            && named_here != 0
            && named_here & self.last == 0
        {
            let about = named_here | self.last;
            self.doubts.push((about, reading.span, vec![reading.span]));
        }
        let another = self.of_another || reading.another.equipment;
        if says.inspections & insp::BACK != 0 && another {
            self.doubts.push((
                insp::YEARLY | insp::HUNDRED,
                reading.span,
                vec![reading.span],
            ));
        }
        if says.inspections & insp::BACK != 0 {
            let rest = says.inspections & !insp::BACK;
            says.inspections = rest | if self.last == 0 { insp::ANY } else { self.last };
        } else {
            self.last = says.inspections;
        }
        // What a sentence in doubt says is in doubt for every inspection that it is taken to mean.
        if let Understood::Doubt(words) = &reading.understood {
            let doubt = (says.inspections, reading.span, words.clone());
            self.doubts.push(doubt);
        }
        self.atoms.push((says, reading.span));
    }

    /// Puts the persons to whom a pronoun points in its place; false where there are none.
    fn look_back(&self, says: &mut Says, reading: &SentenceReading, spoken: &[Named]) -> bool {
        let flags = says.persons.flags;
        // "One of the following", and no list follows.
        if flags & flag::AHEAD != 0 {
            return false;
        }
        let candidates = if self.mentioned.is_empty() {
            spoken
        } else {
            &self.mentioned
        };
        if flags & flag::TERM != 0 {
            let Some(defined) = &self.defined else {
                return false;
            };
            says.persons.flags &= !flag::TERM;
            // "An eligible person may not": each whom the term means is shut out.
            if flags & flag::OUT != 0 {
                let meant: Vec<Named> = defined.named.iter().copied().collect();
                return defined.excluded.is_empty() && all_of_them(&mut says.persons, &meant);
            }
            says.persons = says.persons.with(defined);
            return true;
        }
        // "A or B, the latter only": the pronoun takes back what the list says.
        if flags & (flag::LATTER | flag::FORMER) != 0 && !says.persons.named.is_empty() {
            return false;
        }
        for (end, named) in [
            (flag::LATTER, candidates.last()),
            (flag::FORMER, candidates.first()),
        ] {
            if flags & end != 0 {
                let meant = named.map_or(&[][..], std::slice::from_ref);
                return candidates.len() > 1 && all_of_them(&mut says.persons, meant);
            }
        }
        // "A may help B, who alone may": of the persons of two lists, it is not known whom it means.
        if flags & flag::WHOM != 0 {
            return reading.one_list && all_of_them(&mut says.persons, spoken);
        }
        if flags & flag::THEY != 0 {
            // "The holder of such certificate or a mechanic": whom nobody spoke of before is not
            // whom the sentence names beside.
            if self.mentioned.is_empty() && !says.persons.named.is_empty() {
                return false;
            }
            // "They may", "one of them or a builder": all of them, beside whom it names itself.
            return all_of_them(&mut says.persons, candidates);
        }
        if flags & flag::BACK == 0 {
            return true;
        }
        if flags & flag::OUT != 0 || says.persons.named.is_empty() {
            return all_of_them(&mut says.persons, candidates);
        }
        // "The same mechanic": one of whom nobody spoke is not known.
        let known = |kind: Kind| {
            let places = reading.places.iter().filter(|place| match &place.what {
                What::Person(persons) => persons.named.iter().any(|n| n.kind == kind),
                _ => false,
            });
            self.mentioned.iter().any(|n| n.kind == kind) || places.count() > 1
        };
        let named = &says.persons.named;
        named.iter().all(|n| is_generic(n.kind) || known(n.kind))
            && the_same(&mut says.persons, candidates)
    }

    /// One statement for each inspection.
    fn together(&self) -> Vec<Statement> {
        let mut all: Vec<Statement> = Vec::new();
        for (which, bit) in [
            (Inspection::Yearly, insp::YEARLY),
            (Inspection::HundredHour, insp::HUNDRED),
            (Inspection::Any, insp::ANY),
            (Inspection::Other, insp::OTHER),
        ] {
            let mine: Vec<&(Says, Span)> = self
                .atoms
                .iter()
                .filter(|(s, _)| s.inspections & bit != 0)
                .collect();
            let doubts: Vec<&(Inspections, Span, Vec<Span>)> = self
                .doubts
                .iter()
                .filter(|(i, ..)| i & bit != 0 || *i == 0 && bit == insp::YEARLY)
                .collect();
            if mine.is_empty() && doubts.is_empty() {
                continue;
            }
            all.push(one(which, &mine, &doubts));
        }
        all
    }
}

/// "They may", "they may not": adds everybody spoken of to those named, or to those shut out; false
/// where there is nobody, or where only some of a kind are shut out.
fn all_of_them(persons: &mut Persons, spoken: &[Named]) -> bool {
    if persons.flags & flag::OUT != 0 {
        persons.excluded.extend(spoken.iter().map(|n| n.kind));
        return !spoken.is_empty() && spoken.iter().all(Named::is_whole_kind);
    }
    persons.named.extend(spoken.iter().copied());
    !spoken.is_empty()
}

/// Whether a noun says no more than that somebody is meant: "repairman", "holder".
const fn is_generic(kind: Kind) -> bool {
    matches!(kind, Kind::Repairman | Kind::Other)
}

/// "Such certificate", "the same repairman": puts the one repairman spoken of before in the place of
/// a noun that says no more; false where there is none, or more than one.
fn the_same(persons: &mut Persons, spoken: &[Named]) -> bool {
    if !persons.named.iter().any(|n| is_generic(n.kind)) {
        return true;
    }
    let repairmen = [
        Kind::BuilderRepairman,
        Kind::LightSportRepairman,
        Kind::LightSportRepairmanInspection,
        Kind::LightSportRepairmanMaintenance,
    ];
    let meant: Vec<Named> = spoken
        .iter()
        .filter(|n| repairmen.contains(&n.kind))
        .copied()
        .collect();
    let [one] = meant.as_slice() else {
        return false;
    };
    persons.named = persons
        .named
        .iter()
        .map(|n| if is_generic(n.kind) { *one } else { *n })
        .collect();
    true
}

fn last_bit(inspections: Inspections) -> Inspections {
    for bit in [insp::YEARLY, insp::HUNDRED, insp::ANY, insp::OTHER] {
        if inspections & bit != 0 {
            return bit;
        }
    }
    0
}

/// "A may not. Not so B", "only A may. This does not apply to B": is B shut out, or let in?
fn takes_back(mine: &[&(Says, Span)]) -> bool {
    let against = flag::CONTRAST | flag::EXEMPTS;
    let contrasts = |s: &Says| s.persons.flags & against != 0;
    let exempts = mine
        .iter()
        .any(|(s, _)| s.persons.flags & flag::EXEMPTS != 0);
    let limits = |s: &Says| names_no_list(s) || exempts && s.form == Form::Closed;
    mine.iter().any(|(s, _)| contrasts(s)) && mine.iter().any(|(s, _)| limits(s) && !contrasts(s))
}

/// "A or B may. B may not unless he holds an inspection authorization" asks it of the B of the list.
fn ask_of_named(persons: &mut Persons, mine: &[&(Says, Span)]) {
    let bars = |s: &Says| s.form == Form::None && s.persons.flags & flag::ASKED != 0;
    let barred: Vec<&Says> = mine.iter().map(|(s, _)| s).filter(|s| bars(s)).collect();
    if barred.is_empty() || mine.iter().all(|(s, _)| s.form == Form::None) {
        return;
    }
    let asked = |kind: Kind| {
        let of = barred.iter().flat_map(|s| &s.persons.named);
        of.filter(|n| n.kind == kind)
            .fold(0, |asks, n| asks | n.asks)
    };
    persons.named = std::mem::take(&mut persons.named)
        .into_iter()
        .map(|n| Named {
            asks: n.asks | asked(n.kind),
            ..n
        })
        .collect();
}

fn one(
    inspection: Inspection,
    mine: &[&(Says, Span)],
    doubts: &[&(Inspections, Span, Vec<Span>)],
) -> Statement {
    let mut persons = Persons::default();
    let mut form = Form::None;
    let mut doubt: Vec<Span> = doubts
        .iter()
        .flat_map(|(_, _, words)| words.clone())
        .collect();
    let mut span: Option<Span> = None;
    let mut lists: BTreeSet<(Form, Vec<Kind>)> = BTreeSet::new();
    for (says, at) in mine {
        span = Some(span.map_or(*at, |s| Span::new(s.start.min(at.start), s.end.max(at.end))));
        let flags = says.persons.flags;
        let adds = flags & flag::ALSO != 0;
        form = match (form, says.form) {
            (Form::Closed, _) | (_, Form::Closed) => Form::Closed,
            (Form::Open, _) | (_, Form::Open) => Form::Open,
            _ => Form::None,
        };
        if says.form != Form::None || mine.iter().all(|(s, _)| s.form == Form::None) {
            persons.named.extend(says.persons.named.iter().copied());
        }
        persons
            .excluded
            .extend(says.persons.excluded.iter().copied());
        persons.flags |= flags;
        if says.form != Form::None && !adds && flags & flag::CLOSES == 0 {
            let kinds = says.persons.named.iter().map(|n| n.kind).collect();
            lists.insert((says.form, kinds));
        }
        let unsure = flags & (flag::TERM | flag::BOTH_SENSES) != 0
            || flags & flag::AND != 0
                && says.form == Form::Closed
                && says.persons.flags & flag::CLOSES == 0;
        if unsure {
            doubt.push(*at);
        }
    }
    ask_of_named(&mut persons, mine);
    for (_, at, _) in doubts {
        span = Some(span.map_or(*at, |s| Span::new(s.start.min(at.start), s.end.max(at.end))));
    }
    let span = span.unwrap_or_default();
    // Two lists of one inspection that differ in whom they name, where one of them is closed.
    let named: BTreeSet<&Vec<Kind>> = lists.iter().map(|(_, kinds)| kinds).collect();
    if named.len() > 1 && lists.iter().any(|(f, _)| *f == Form::Closed) {
        doubt.push(span);
    }
    if persons
        .named
        .iter()
        .any(|n| persons.excluded.contains(&n.kind))
    {
        doubt.push(span);
    }
    if form == Form::Closed && persons.named.is_empty() && persons.flags & flag::REFERS == 0 {
        doubt.push(span);
    }
    let adds = form == Form::Open && lists.is_empty() && persons.flags & flag::ALSO != 0;
    // "A may not, and the same goes for B": added to those who may, or to those who may not?
    if adds && mine.iter().any(|(s, _)| names_no_list(s)) {
        doubt.push(span);
    }
    if takes_back(mine) {
        doubt.push(span);
    }
    doubt.sort_unstable();
    doubt.dedup();
    Statement {
        inspection,
        adds,
        form,
        persons,
        span,
        doubt,
    }
}
