//! One grammar of clauses: what a clause says about who may inspect, and what of it was not
//! understood.
//!
//! A sentence is parsed bottom-up into every analysis that the rules allow (`chart`); words and
//! their meanings are files in `patterns/word/`, rules files in `patterns/grammar/`. Meanings are
//! composed from the parts (`action`), and analyses with one meaning are one. A sentence is
//! *read* only if an analysis covers all its words and all analyses agree; else it is in doubt,
//! with the words that found no place. `clause` joins the sentences of a clause.

mod action;
mod analyses;
mod chart;
mod clause;
mod lexer;
mod open;
mod person;
mod placed;
mod points;
mod recorded;
mod show;
mod value;

use std::sync::Arc;

use crate::model::{Citation, Span};
use crate::patterns::rules::{Category, Rules};
use crate::patterns::{PatternError, Patterns, Token, TokenKind, WordList};

use analyses::{Analyses, canonical};
use chart::{Chart, Edge, Meaning, Words, parse};
use lexer::{Lexemes, Sentence};
use placed::Places;
use value::{Head, Says, Value};

pub(crate) use clause::{Before, ClauseReading, Statement, join, read_sentences};
pub(crate) use points::{genitive, points};
pub(crate) use show::tree;
pub(crate) use value::{Named, Persons, flag};

/// The conditions of these bits.
pub(crate) fn asks_of(bits: u16) -> impl Iterator<Item = crate::model::InspectorConditionKind> {
    value::ASKS
        .into_iter()
        .enumerate()
        .filter(move |(n, _)| bits & (1 << n) != 0)
        .map(|(_, kind)| kind)
}

/// Rules and words, compiled.
#[derive(Debug)]
pub(crate) struct Grammar {
    rules: Arc<Rules>,
    /// What rules name behind «=», by its number.
    names: Vec<Meaning>,
    lexemes: Lexemes,
    sentence: Category,
    /// A heading: the name of an inspection alone, which no sentence goes on with.
    title: Category,
    partial: Category,
    item: Category,
    list: Category,
    /// Words for persons, whatever phrase they stand in.
    person_words: Vec<Category>,
    /// Words for signing off, which is inspecting.
    sign_off: Vec<Category>,
    /// Words for anybody at all.
    anyone: Vec<Category>,
    /// A certificate without its article.
    certificate: Category,
    condition: Category,
    proviso: Category,
    case: Category,
    modifier_row: Category,
    verb: Category,
    /// Nouns for a right.
    right: Category,
    reference: Category,
    /// Classes of words that speak of an inspection.
    inspection: Vec<Category>,
    /// Classes of words that speak of a person.
    person: Vec<Category>,
    /// Classes of words that go on with a list of persons.
    further: Vec<Category>,
    /// Conditions on persons stand in these.
    modifiers: Vec<Category>,
    nouns: Vec<Category>,
    interval: Category,
    /// Sentences on what to keep, send or ask.
    clerical: Category,
    /// Phrases in which a word that decides may stand at a wrong place.
    places: Places,
    /// Equipment that has inspections of its own.
    equipment: Category,
    /// Verbs for looking at something.
    look: Category,
    /// The aircraft of the letter.
    craft: Category,
    /// What tells inspections apart, before their noun: "condition", "100-hour".
    which_inspection: Category,
    bars_flight: Category,
    not_inspection: Category,
    inspecting: Vec<Category>,
    refers: Category,
    /// "The list", and what is said of one: "exhaustive".
    list_word: Category,
    complete: Category,
    /// "The only ones".
    only_ones: Category,
    others: Vec<Category>,
    /// "The inspector".
    inspector: Category,
    /// "Authorized persons:", and terms that the letter defines: they stand for who inspects.
    listed: Vec<Category>,
    /// Classes of words for doing the inspection that want somebody who does it.
    acts: Vec<Category>,
    /// Verbs of performing it.
    does: Vec<Category>,
    /// Classes of words by which what is said beside a list bears on it.
    bear: Vec<Category>,
    /// Papers that somebody signs who does not inspect: a work order.
    other_paper: Category,
}

/// Classes of words that speak of a person.
const PERSON: [&str; 22] = [
    "N",
    "NOBODY",
    "WHOEVERW",
    "RNQ",
    "PERSONWORD",
    "CN",
    "HOLDER",
    "ANYONE",
    "OTHERS",
    "NOELSE",
    "THEY",
    "LATTER",
    "FORMER",
    "SIGNATURE",
    "BLANK",
    "BYFOLLOWING",
    "HE",
    "HIM",
    "TERM",
    "INSPECTORW",
    "NOTHING",
    "NOTHINGW",
];

/// Classes of words that go on with a list of persons.
const FURTHER: [&str; 19] = [
    "N",
    "CN",
    "OTHERS",
    "NOELSE",
    "NOBODY",
    "THEY",
    "LATTER",
    "FORMER",
    "LISTWORD",
    "BLANK",
    "HE",
    "HIM",
    "DOSO",
    "TERM",
    "INSPECTORW",
    "HOLDER",
    "SIGNATURE",
    "BYFOLLOWING",
    "PERSONWORD",
];

impl Grammar {
    /// The grammar of these patterns, compiled once for as long as they are held.
    ///
    /// # Panics
    /// Where a folder was laid over the patterns that [`Grammar::check`] refuses; the program asks it first.
    pub(crate) fn of(patterns: &Patterns) -> &Self {
        patterns
            .rules
            .get_or_init(|| match Self::new(patterns) {
                Ok(grammar) => Box::new(grammar),
                Err(message) => panic!("{message}"),
            })
            .downcast_ref()
            .expect("only the grammar is kept there")
    }

    /// Whether the words and rules of a folder can be used: whether each meaning and each action is
    /// known.
    ///
    /// # Errors
    /// [`PatternError::Form`] with the file, where it is known, and what is wrong.
    pub(crate) fn check(patterns: &Patterns) -> Result<(), PatternError> {
        Self::new(patterns).map(drop).map_err(|message| {
            let (file, message) = message
                .split_once(".toml: ")
                .map_or(("grammar", message.as_str()), |(file, rest)| (file, rest));
            PatternError::Form {
                file: format!("{file}.toml"),
                message: message.to_owned(),
            }
        })
    }

    fn new(patterns: &Patterns) -> Result<Self, String> {
        let rules = Arc::clone(&patterns.grammar.compiled_rules);
        let lexemes = Lexemes::new(patterns)?;
        let names = meanings(&rules, &patterns.grammar.rules)?;
        let category = |name: &str| category(&rules, name);
        let all = |names: &[&str]| {
            let found: Result<Vec<Category>, String> = names.iter().map(|n| category(n)).collect();
            found
        };
        let inspection = all(&["IN", "SAFEOP", "SIGNOFF"])?;
        let sign_off = all(&["SIGNATURE"])?;
        let anyone = all(&["ANYONE", "OTHERS", "NOELSE", "NOBODY"])?;
        let person_words = all(&["PERSONWORD", "N"])?;
        let inspecting = all(&["INSPECT", "INSPECTED", "INSPECTING"])?;
        let person = all(&PERSON)?;
        let further = all(&FURTHER)?;
        let listed = all(&["AUTHLIST", "TERM"])?;
        let others = all(&["OTHERS", "NOELSE"])?;
        let acts = all(&["VG", "NOTADJ", "HARDACT", "POSSESSED"])?;
        let modifiers = all(&["MOD", "MODC", "PADJ", "RATS", "PM", "ELG", "ELGT"])?;
        let nouns = all(&["N", "CN", "POINTED"])?;
        let does = all(&["V", "VS"])?;
        let mut bear = all(&["BEARSW"])?;
        bear.extend(person.iter().chain(&further).chain(&others).chain(&anyone));
        bear.extend(inspection.iter().chain(&inspecting));
        Ok(Self {
            sentence: category("S")?,
            title: category("TITLE")?,
            partial: category("CL")?,
            item: category("PER")?,
            list: category("L")?,
            person_words,
            sign_off,
            anyone,
            certificate: category("CB")?,
            condition: category("COND")?,
            proviso: category("PROVISO")?,
            case: category("CASE")?,
            reference: category("REF")?,
            modifier_row: category("BAGF")?,
            verb: category("V")?,
            right: category("RIGHT")?,
            interval: category("EVERY")?,
            look: category("LOOKAT")?,
            equipment: category("EQ")?,
            clerical: category("CLERICAL")?,
            places: Places::of(&category, &inspection, &others)?,
            craft: category("CRAFT")?,
            other_paper: category("PAPERW")?,
            which_inspection: category("INH")?,
            bars_flight: category("BARSFLIGHT")?,
            not_inspection: category("NOTIN")?,
            refers: category("REFN")?,
            list_word: category("LISTWORD")?,
            complete: category("COMPLETE")?,
            only_ones: category("ONLYONES")?,
            inspector: category("INSPECTORW")?,
            others,
            listed,
            acts,
            does,
            bear,
            inspecting,
            inspection,
            person,
            further,
            modifiers,
            nouns,
            names,
            rules,
            lexemes,
        })
    }
}

/// How far behind its article the noun of a person may begin: "an appropriately rated mechanic".
const LONGEST_NAME: usize = 4;

/// The number of a category.
///
/// # Errors
/// A sentence that says that no word and no rule makes it.
fn category(rules: &Rules, name: &str) -> Result<Category, String> {
    rules
        .known(name)
        .ok_or_else(|| format!("no word and no rule makes {name}; see patterns/grammar"))
}

/// What rules name behind «=».
///
/// # Errors
/// A sentence that says which action there is none of.
fn meanings(rules: &Rules, files: &[String]) -> Result<Vec<Meaning>, String> {
    if let Some((name, file)) = rules.first_action(|name| action::named(name).is_none()) {
        let file = files.get(file).map_or("", String::as_str);
        return Err(format!(
            "{file}.toml: «{name}» is no action; see src/grammar/action.rs"
        ));
    }
    let meaning = |name: &String| Meaning {
        name: name.clone(),
        action: action::named(name),
    };
    Ok(rules.words().iter().map(meaning).collect())
}

/// Whether a word in small letters is a modal verb.
pub(crate) fn is_modal(word: &str) -> bool {
    matches!(word, "may" | "must" | "shall" | "will" | "can" | "should")
}

/// Whether a word stands for a person who is not named.
fn asks_who(word: &str) -> bool {
    matches!(
        word.to_ascii_lowercase().as_str(),
        "who" | "whom" | "whoever" | "whose"
    )
}

/// Words and marks of the longest sentence that is parsed, a list with its items being one. A longer
/// one that bears on who inspects is in doubt.
const LONGEST: usize = 1000;

/// What became of a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Understood {
    /// It has no bearing on who inspects.
    Beside,
    /// Read to its end, in one meaning.
    Read,
    /// Not understood: these words found no place.
    Doubt(Vec<Span>),
}

impl Understood {
    /// How `show grammar` calls it.
    pub(crate) const fn name(&self) -> &'static str {
        match self {
            Self::Beside => "beside",
            Self::Read => "read",
            Self::Doubt(_) => "in doubt",
        }
    }
}

/// A sentence with its analysis.
pub(crate) struct SentenceReading {
    /// Its words.
    pub(crate) span: Span,
    /// What it says of who inspects; of a sentence in doubt, what its widest part seems to say.
    pub(crate) says: Vec<Says>,
    /// Whether that can be relied on.
    pub(crate) understood: Understood,
    /// Inspections that it names, for "the inspection" after it.
    pub(crate) inspections: u8,
    /// Every inspection in it is named with its kind, none is "the inspection".
    pub(crate) inspection_said: bool,
    /// Places of persons, conditions and inspections.
    pub(crate) places: Vec<Place>,
    /// Persons that it speaks of, where a later sentence points at them.
    pub(crate) mentions: Vec<value::Named>,
    /// Whether it speaks of an inspection of something else.
    pub(crate) another: Another,
    /// Whether all persons of its analysis stand in one list.
    pub(crate) one_list: bool,
    /// The meanings that its analyses give, where they differ.
    pub(crate) meanings: Vec<Vec<Says>>,
    /// The analysis, for `show`.
    pub(crate) chart: Option<(Sentence, Chart, Vec<u32>)>,
}

/// Whether a sentence speaks of another inspection, so that "the inspection" may be that one.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Another {
    /// Of equipment: in its own words, too.
    pub(crate) equipment: bool,
    /// Of anything: in the sentences behind it.
    pub(crate) any: bool,
}

impl SentenceReading {
    /// Whether it says of nobody that he inspects, or does not.
    pub(crate) fn only_speaks(&self) -> bool {
        only_speaks(&self.says)
    }
}

/// Where a part of the meaning stands.
#[derive(Clone, Debug)]
pub(crate) struct Place {
    /// The words.
    pub(crate) span: Span,
    /// What they are.
    pub(crate) what: What,
}

/// What the words at a place are.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum What {
    /// A person of a list; the words of the noun.
    Person(value::Persons),
    /// A condition on that person.
    Asks(value::Persons, u16),
    /// A condition on the whole statement.
    Condition,
    /// A case in which alone the whole statement holds.
    Case,
    /// A condition on the one person of whom the statement speaks.
    Proviso(u16),
    /// A reference to another clause.
    Reference,
}

impl Grammar {
    /// The terms that a text defines.
    pub(crate) fn terms(&self, text: &str, tokens: &[Token]) -> Vec<Vec<u32>> {
        self.lexemes.terms(text, tokens, &self.rules)
    }

    /// Reads one sentence. `going_on`: the sentence before it says who inspects, so that "others
    /// may not" goes on with it.
    pub(crate) fn read(
        &self,
        text: &str,
        tokens: &[Token],
        range: std::ops::Range<usize>,
        around: &Around<'_>,
        going_on: bool,
    ) -> SentenceReading {
        let span = Span::new(
            tokens[range.start].span.start,
            tokens[range.end - 1].span.end,
        );
        let range = without_stops(text, tokens, range);
        let mut sentence = self.lexemes.sentence(text, tokens, range.clone(), around);
        let mut reading = SentenceReading {
            span,
            says: Vec::new(),
            understood: Understood::Beside,
            inspections: self.inspections_named(&sentence),
            // a misread word may be the one that says it
            inspection_said: sentence.suspects.is_empty() && self.inspection_said(&sentence),
            places: Vec::new(),
            mentions: Vec::new(),
            another: self.of_another(text, tokens, &sentence),
            one_list: false,
            meanings: Vec::new(),
            chart: None,
        };
        let somebody = self.names_who_would(&sentence)
            || !ranges_of(&sentence, &self.person).is_empty()
            || range.clone().any(|at| asks_who(tokens[at].span.of(text)));
        let half_said = self.said_otherwise(text, tokens, &sentence, somebody);
        if !half_said && !self.concerns(text, tokens, &sentence, going_on) {
            return reading;
        }
        if sentence.words.len() > LONGEST {
            reading.understood = Understood::Doubt(vec![span]);
            return reading;
        }
        let only_records = !half_said && self.only_records(text, tokens, &sentence);
        let chart = self.chart(text, &mut sentence);
        let analyses = self.analyses(&chart, sentence.words.len());
        let differing = analyses.differing();
        let (says, understood, roots) = match analyses.one() {
            Some((says, root))
                if !(chart.overflow
                    || half_said && only_speaks(&says)
                    || self.misplaced(text, tokens, &sentence, &chart, root)) =>
            {
                (says, Understood::Read, vec![root])
            }
            _ if only_records => (Vec::new(), Understood::Read, Vec::new()),
            _ => match analyses.fullest() {
                Some((says, root)) => (says, Understood::Doubt(vec![span]), vec![root]),
                None => self.partly(tokens, &sentence, &chart),
            },
        };
        // Of analyses that differ, each is shown.
        let mut shown = roots.clone();
        if !differing.is_empty() {
            shown.extend(analyses.roots().filter(|root| !roots.contains(root)));
        }
        for &root in &roots {
            self.places(
                text,
                tokens,
                &sentence,
                &chart,
                root,
                None,
                &mut reading.places,
            );
        }
        reading.one_list = self.in_one_list(&chart, &roots);
        reading.says = says;
        reading.understood = understood;
        reading.meanings = differing;
        reading.chart = Some((sentence, chart, shown));
        reading
    }

    /// Whether a word that decides stands in an analysis where it could belong to something else.
    fn misplaced(
        &self,
        text: &str,
        tokens: &[Token],
        sentence: &Sentence,
        chart: &Chart,
        root: u32,
    ) -> bool {
        let words = placed::Words {
            text,
            tokens,
            sentence,
            lists: &self.lexemes.lists,
        };
        self.places.misplaced(&words, chart, root)
    }

    /// Whether a sentence says no more than what to keep, send or ask: it bears on no list beside it.
    pub(crate) fn is_clerical(
        &self,
        text: &str,
        tokens: &[Token],
        range: std::ops::Range<usize>,
        around: &Around<'_>,
    ) -> bool {
        let range = without_stops(text, tokens, range);
        let mut sentence = self.lexemes.sentence(text, tokens, range, around);
        let n = sentence.words.len();
        n <= LONGEST && {
            let chart = self.chart(text, &mut sentence);
            !chart.overflow && chart.over(0, n, self.clerical).next().is_some()
        }
    }

    /// Every phrase of a sentence, of which the terminals are taken.
    fn chart(&self, text: &str, sentence: &mut Sentence) -> Chart {
        let open = self.lexemes.open(text, sentence, &self.bear);
        let terminals = std::mem::take(&mut sentence.terminals);
        parse(
            &self.rules,
            &self.names,
            Words {
                words: &sentence.words,
                terminals,
                open: &open,
            },
        )
    }

    /// The analyses of a whole sentence of `n` words that differ in what they say.
    fn analyses(&self, chart: &Chart, n: usize) -> Analyses {
        let roots = chart.over(0, n, self.sentence);
        let titles = chart.over(0, n, self.title);
        Analyses::of(chart, roots.chain(titles))
    }

    /// Whether the persons of analyses stand in one list, and in no other place.
    fn in_one_list(&self, chart: &Chart, roots: &[u32]) -> bool {
        let mut places = 0;
        let mut todo = roots.to_vec();
        while let Some(at) = todo.pop() {
            let edge = &chart.edges[at as usize];
            if edge.category == self.list || edge.category == self.item {
                // the owner has it done: "the owner shall call on A, who alone may"
                let owner = |n: &value::Named| n.kind == crate::model::Kind::Owner;
                let only_owner =
                    matches!(&edge.value, Value::Persons(p) if p.named.iter().all(owner));
                places += usize::from(!only_owner);
            } else {
                todo.extend(chart.children(edge));
            }
        }
        places == 1
    }

    /// The files of the rules of an analysis, by their place in the patterns.
    pub(crate) fn files_of(&self, reading: &SentenceReading) -> Vec<usize> {
        let Some((_, chart, roots)) = &reading.chart else {
            return Vec::new();
        };
        let mut files: Vec<usize> = Vec::new();
        let mut todo = roots.clone();
        while let Some(at) = todo.pop() {
            let edge = &chart.edges[at as usize];
            if let Some(rule) = edge.rule {
                files.extend(
                    self.rules
                        .files
                        .get(usize::from(rule))
                        .map(|&f| usize::from(f)),
                );
            }
            todo.extend(chart.children(edge));
        }
        files.sort_unstable();
        files.dedup();
        files
    }

    /// The persons that a sentence speaks of, whatever it says of them, in order of the text.
    pub(crate) fn mentions(
        &self,
        text: &str,
        tokens: &[Token],
        range: std::ops::Range<usize>,
        around: &Around<'_>,
    ) -> Vec<value::Named> {
        let mut sentence = self.lexemes.sentence(text, tokens, range, around);
        if sentence.words.len() > LONGEST {
            return Vec::new();
        }
        let spoken: Vec<u16> = ranges_of(&sentence, &self.person_words)
            .iter()
            .filter_map(|r| u16::try_from(r.start).ok())
            .collect();
        let chart = self.chart(text, &mut sentence);
        let persons = self.persons_of(&chart);
        // Somebody spoken of whom no phrase explains: then it is open to whom a pronoun points.
        let explained = |at: u16| {
            chart.edges.iter().any(|e| {
                (e.category == self.item || e.category == self.certificate)
                    && e.start <= at
                    && at < e.end
            })
        };
        if spoken.iter().any(|&at| !explained(at)) {
            return Vec::new();
        }
        // "Someone with …" of whom no more is known may be one of those whom the phrase names beside.
        let unknown = |(_, persons): &(_, &value::Persons)| {
            persons
                .named
                .iter()
                .any(|n| n.kind == crate::model::Kind::Other)
        };
        if persons.len() > 1 && persons.iter().any(unknown) {
            return Vec::new();
        }
        let listed = self.listed_together(&chart, &persons);
        // "By a W, a mechanic or a repair station": its first one may not have been understood.
        let word = |at: usize| {
            let token = sentence.tokens.get(at).map(|(from, _)| tokens[*from]);
            token.map_or("", |t| t.span.of(text))
        };
        if let Some(list) = &listed
            && (matches!(word(list.start.wrapping_sub(1)), "," | "or" | "and" | "/")
                || matches!(word(list.end), "or" | "/"))
        {
            return Vec::new();
        }
        // Somebody behind the list may be its last one, of whom a word was not understood.
        if let Some(list) = &listed
            && persons.iter().any(|(place, _)| place.start >= list.end)
        {
            return Vec::new();
        }
        let mut out: Vec<value::Named> = Vec::new();
        for (place, persons) in &persons {
            let beside =
                |list: &std::ops::Range<usize>| place.end <= list.start || list.end <= place.start;
            if listed.as_ref().is_some_and(beside) {
                continue;
            }
            for named in &persons.named {
                match out.iter_mut().find(|n| n.kind == named.kind) {
                    // "a certificate for this aircraft is available to its builder": it is the builder's
                    Some(known) if known.kind == crate::model::Kind::BuilderRepairman => {
                        known.asks &= named.asks
                    }
                    Some(_) => {}
                    None => out.push(*named),
                }
            }
        }
        out
    }

    /// The last list of a chart in which more than one of these persons stands: "The owner may call on
    /// A, B or C. Any of them may".
    fn listed_together(
        &self,
        chart: &Chart,
        persons: &[(std::ops::Range<usize>, &value::Persons)],
    ) -> Option<std::ops::Range<usize>> {
        let lists = || {
            chart
                .edges
                .iter()
                .filter(|e| e.category == self.list)
                .map(|e| usize::from(e.start)..usize::from(e.end))
        };
        let within = |place: &std::ops::Range<usize>, list: &std::ops::Range<usize>| {
            list.start <= place.start && place.end <= list.end
        };
        persons
            .iter()
            .filter_map(|(place, _)| {
                lists()
                    .filter(|list| within(place, list))
                    .max_by_key(ExactSizeIterator::len)
            })
            .rfind(|list| {
                let here = persons.iter().filter(|(place, _)| within(place, list));
                here.map(|(_, persons)| persons.named.len()).sum::<usize>() > 1
            })
    }

    /// The persons of a chart by their place, the widest phrases.
    fn persons_of<'a>(
        &self,
        chart: &'a Chart,
    ) -> Vec<(std::ops::Range<usize>, &'a value::Persons)> {
        // "a repairman certificate" speaks of no repairman
        let part_of_certificate = |e: &chart::Edge| {
            chart
                .edges
                .iter()
                .any(|c| c.category == self.certificate && c.start < e.end && e.end < c.end)
        };
        let mut found: Vec<&chart::Edge> = chart
            .edges
            .iter()
            .filter(|e| e.category == self.item && !part_of_certificate(e))
            .collect();
        found.sort_by_key(|e| (e.start, std::cmp::Reverse(e.end)));
        let mut end = 0;
        let mut out = Vec::new();
        for edge in found {
            if let Value::Persons(persons) = &edge.value
                && edge.start >= end
            {
                end = edge.end;
                out.push((usize::from(edge.start)..usize::from(edge.end), persons));
            }
        }
        out
    }

    /// The widest statements, with the words that are left over.
    fn partly(
        &self,
        tokens: &[Token],
        sentence: &Sentence,
        chart: &Chart,
    ) -> (Vec<Says>, Understood, Vec<u32>) {
        let mut found: Vec<(usize, u32)> = chart
            .edges
            .iter()
            .enumerate()
            .filter(|(_, e)| e.category == self.partial || e.category == self.sentence)
            .filter(|(_, e)| matches!(&e.value, Value::Says(all) if !all.is_empty()))
            .map(|(k, e)| (usize::from(e.end - e.start), u32::try_from(k).unwrap_or(0)))
            .collect();
        found.sort_by_key(|(size, id)| (std::cmp::Reverse(*size), *id));
        let mut taken = vec![false; sentence.words.len()];
        let mut says: Vec<(u16, Vec<Says>)> = Vec::new();
        let mut roots = Vec::new();
        for (_, id) in found {
            let edge = &chart.edges[id as usize];
            let range = usize::from(edge.start)..usize::from(edge.end);
            if taken[range.clone()].iter().any(|t| *t) {
                continue;
            }
            taken[range].iter_mut().for_each(|t| *t = true);
            if let Value::Says(all) = &edge.value {
                says.push((edge.start, canonical(all)));
                roots.push(id);
            }
        }
        says.sort_by_key(|(start, _)| *start);
        let mut left: Vec<Span> = Vec::new();
        let mut run: Option<Span> = None;
        for (k, &(from, to)) in sentence.tokens.iter().enumerate() {
            let here = Span::new(tokens[from].span.start, tokens[to - 1].span.end);
            if taken[k] {
                left.extend(run.take());
            } else {
                run = Some(run.map_or(here, |r| Span::new(r.start, here.end)));
            }
        }
        left.extend(run);
        // Two statements side by side that nothing joins: what the one is to the other is not understood.
        if left.is_empty()
            && let (Some(&(from, _)), Some(&(_, to))) =
                (sentence.tokens.first(), sentence.tokens.last())
        {
            left.push(Span::new(tokens[from].span.start, tokens[to - 1].span.end));
        }
        let mut says: Vec<Says> = says.into_iter().flat_map(|(_, s)| s).collect();
        analyses::forget_interval(&mut says);
        (says, Understood::Doubt(left), roots)
    }

    /// Whether a sentence bears on who inspects: an inspection beside any person, pronoun,
    /// signature, blank, or word that cannot be read; or a sentence that goes on with such a one.
    fn concerns(&self, text: &str, tokens: &[Token], sentence: &Sentence, going_on: bool) -> bool {
        // "No person may operate this aircraft" names nobody who could inspect, and "inspection
        // records" are no inspection.
        // They come by their ends: of those that end behind a range, the first begin counts.
        let mut flight = ranges_of(sentence, &[self.bars_flight, self.not_inspection]);
        for k in (1..flight.len()).rev() {
            flight[k - 1].start = flight[k - 1].start.min(flight[k].start);
        }
        let has = |classes: &[Category]| {
            ranges_of(sentence, classes).iter().any(|r| {
                let over = flight.partition_point(|f| f.end < r.end);
                flight.get(over).is_none_or(|f| f.start > r.start)
            })
        };
        let inspection = has(&self.inspection)
            || has(&self.inspecting)
            || sentence.suspects.iter().any(|&k| {
                let word = sentence.word(text, tokens, k);
                self.lexemes
                    .lists
                    .within(&word, WordList::MisreadInspection)
            });
        if !inspection && !going_on {
            // "An FAA certificated mechanic may perform": what is lost may be the inspection
            let mut at_end = sentence.terminals.last().into_iter().flatten();
            let breaks_off =
                at_end.any(|t| t.category == self.verb) && self.names_who_could(sentence);
            // "Limitation 8 does not shut out others" goes on with another clause.
            let of_the_list = has(&[self.list_word]) && has(&[self.complete]);
            let of_others = has(&self.others) || has(&[self.only_ones]);
            return has(&[self.refers]) && (of_others || of_the_list)
                || has(&self.sign_off) && has(&self.anyone)
                || has(&self.listed)
                || breaks_off
                || has(&[self.inspector]) && self.names_who_could(sentence)
                || has(&[self.interval, self.other_paper]) && self.names_who_would(sentence);
        }
        if going_on && !inspection {
            return has(&self.further) || !sentence.suspects.is_empty();
        }
        let word = |k: usize| sentence.word(text, tokens, k);
        let n = sentence.words.len();
        let lists = &self.lexemes.lists;
        // "by" before anything but a rule or these limitations
        let by = (0..n).any(|k| {
            word(k) == "by"
                && !(k + 1 < n
                    && (matches!(word(k + 1).as_str(), "these" | "this" | "the")
                        && k + 2 < n
                        && lists.has(&word(k + 2), WordList::PaperHead)
                        || tokens[sentence.tokens[k + 1].0].span.of(text) == "§"
                        || lists.has(&word(k + 1), WordList::Part)))
        });
        let whoever = |k: usize| asks_who(&word(k));
        has(&self.person)
            || has(&self.acts)
            || by
            || (0..n).any(whoever)
            || !sentence.suspects.is_empty()
            || self.unknown_does_it(&word, sentence)
    }

    /// Whether a word that nobody knows stands where somebody does who inspects: "have a … perform it", "a …
    /// alone performs", "the … shall inspect the aircraft", "the … has no authority".
    fn unknown_does_it(&self, word: &impl Fn(usize) -> String, sentence: &Sentence) -> bool {
        let mut does = ranges_of(sentence, &self.does);
        does.extend(ranges_of(sentence, &self.inspecting));
        let entitled = !ranges_of(sentence, &[self.right]).is_empty();
        (0..sentence.words.len())
            .filter(|&k| sentence.words[k] == 0 && word(k).len() > 3)
            .any(|k| {
                let alone = matches!(word(k + 1).as_str(), "alone" | "only");
                let verb = k + 1 + usize::from(alone);
                let verb = verb + usize::from(is_modal(&word(verb)));
                entitled || does.iter().any(|range| range.start == verb)
            })
    }

    /// Whether a word that nobody knows stands where an inspection may have stood: "the condition
    /// …", "the yearly …".
    fn half_said(&self, tokens: &[Token], sentence: &Sentence) -> bool {
        let unknown = |k: usize| {
            let token = sentence.tokens.get(k).map(|(from, _)| &tokens[*from]);
            sentence.words.get(k) == Some(&0) && token.is_some_and(|t| t.kind == TokenKind::Word)
        };
        ranges_of(sentence, &[self.which_inspection])
            .iter()
            .any(|which| unknown(which.end))
    }

    /// "A must look at this aircraft every year": the inspection in other words, perhaps.
    fn looked_at(&self, sentence: &Sentence) -> bool {
        let seen = ranges_of(sentence, &[self.look]);
        let craft = ranges_of(sentence, &[self.craft]);
        let yearly = |t: &chart::Terminal| {
            t.category == self.interval && t.value == Value::Inspections(value::insp::YEARLY)
        };
        sentence.terminals.iter().flatten().any(yearly)
            && seen
                .iter()
                .any(|look| craft.iter().any(|craft| craft.start == look.end))
    }

    /// Whether a sentence may say in other words that somebody inspects.
    fn said_otherwise(
        &self,
        text: &str,
        tokens: &[Token],
        sentence: &Sentence,
        somebody: bool,
    ) -> bool {
        somebody
            && (self.half_said(tokens, sentence)
                || self.looked_at(sentence)
                || self.asks_a_signature(text, tokens, sentence))
            || self.is_somebodys(text, tokens, sentence)
    }

    /// "The inspection is the mechanic's privilege", "the builder's performance of the inspection": a genitive
    /// of somebody who could inspect, beside an inspection.
    fn is_somebodys(&self, text: &str, tokens: &[Token], sentence: &Sentence) -> bool {
        let word = |at: usize| sentence.word(text, tokens, at);
        !ranges_of(sentence, &self.inspection).is_empty()
            && points::genitive(&self.lexemes.lists, &word, 0..sentence.words.len())
    }

    /// "The logbook must show the signature of a mechanic for the inspection": whose, is somebody who may sign.
    fn asks_a_signature(&self, text: &str, tokens: &[Token], sentence: &Sentence) -> bool {
        let somebody = |of: usize| {
            let starts = |t: &chart::Terminal| {
                let start = usize::from(t.start);
                t.value.names_who_could() && (of + 2..of + 2 + LONGEST_NAME).contains(&start)
            };
            let word = |at: usize| sentence.word(text, tokens, at);
            matches!(word(of).as_str(), "of" | "by" | "from")
                && matches!(word(of + 1).as_str(), "a" | "an" | "any")
                && sentence.terminals.iter().flatten().any(starts)
        };
        !ranges_of(sentence, &self.inspection).is_empty()
            && ranges_of(sentence, &self.sign_off)
                .iter()
                .any(|signature| somebody(signature.end))
    }

    /// Whether a sentence names a mechanic, a repairman, a builder or a repair station: "each 12
    /// calendar months the aircraft shall be …ed by a mechanic" may be the inspection in other words.
    fn names_who_could(&self, sentence: &Sentence) -> bool {
        sentence
            .terminals
            .iter()
            .flatten()
            .any(|t| t.value.names_who_could())
    }

    /// The same, or an inspector of the FAA, in a sentence that has the interval of the inspection or half
    /// of its name.
    fn names_who_would(&self, sentence: &Sentence) -> bool {
        let official = |value: &Value| matches!(value, Value::Nouns(nouns) if nouns.iter().any(|(head, _)| *head == Head::Official));
        let mut terminals = sentence.terminals.iter().flatten();
        self.names_who_could(sentence) || terminals.any(|t| official(&t.value))
    }

    /// The same of words that are no sentence yet.
    pub(crate) fn speaks_of_who_could(
        &self,
        text: &str,
        tokens: &[Token],
        range: std::ops::Range<usize>,
        around: &Around<'_>,
    ) -> bool {
        self.names_who_could(&self.lexemes.sentence(text, tokens, range, around))
    }

    /// "The altimeter must be inspected", "a buyer may ask for an inspection": of something else, or of nothing
    /// that is named, so that "the inspection" behind it may be that one.
    fn of_another(&self, text: &str, tokens: &[Token], sentence: &Sentence) -> Another {
        let has = |classes: &[Category]| !ranges_of(sentence, classes).is_empty();
        let known = value::insp::YEARLY | value::insp::HUNDRED | value::insp::ANY;
        let is = |t: &chart::Terminal, of: &[Category]| {
            of.contains(&t.category) && matches!(t.value, Value::Inspections(i) if i & known != 0)
        };
        let mut terminals = sentence.terminals.iter().flatten();
        let named = terminals.clone().any(|t| is(t, &self.inspection));
        let yearly = terminals.any(|t| is(t, &[self.interval]));
        let word = |at: usize| sentence.word(text, tokens, at);
        let indefinite = ranges_of(sentence, &self.inspection)
            .iter()
            .any(|noun| matches!(word(noun.start.wrapping_sub(1)).as_str(), "a" | "an"));
        let lists = &self.lexemes.lists;
        let checked = (0..sentence.tokens.len()).any(|at| lists.has(&word(at), WordList::Checked));
        let inspected = has(&self.inspecting);
        let equipment = has(&[self.equipment]) && (inspected || checked || has(&self.inspection));
        let craft = has(&[self.craft]) || word(0) == "it";
        let cited = sentence.special.iter().flatten().next().is_some();
        Another {
            equipment: equipment && !named,
            any: !named
                && (equipment
                    || checked && !craft
                    || inspected && !(yearly && craft) && !cited
                    || indefinite && !yearly && !cited),
        }
    }

    /// Whether each noun for an inspection says which it is.
    fn inspection_said(&self, sentence: &Sentence) -> bool {
        let mut kinds: Vec<(std::ops::Range<usize>, bool)> = Vec::new();
        for (end, terminals) in sentence.terminals.iter().enumerate() {
            for t in terminals {
                if let Value::Inspections(i) = t.value
                    && self.inspection.contains(&t.category)
                {
                    kinds.push((usize::from(t.start)..end, i != value::insp::BACK));
                }
            }
        }
        let within = |a: &std::ops::Range<usize>, b: &std::ops::Range<usize>| {
            b.start <= a.start && a.end <= b.end
        };
        !kinds.is_empty()
            && kinds.iter().all(|(place, said)| {
                *said
                    || kinds
                        .iter()
                        .any(|(other, said)| *said && within(place, other))
            })
    }

    /// The inspections that a sentence names with their kind.
    fn inspections_named(&self, sentence: &Sentence) -> u8 {
        let mut all = 0;
        for terminal in sentence.terminals.iter().flatten() {
            if let Value::Inspections(i) = terminal.value
                && (self.inspection.contains(&terminal.category)
                    || terminal.category == self.interval)
            {
                all |= i & !value::insp::BACK;
            }
        }
        all
    }

    #[allow(clippy::too_many_arguments)]
    fn places(
        &self,
        text: &str,
        tokens: &[Token],
        sentence: &Sentence,
        chart: &Chart,
        at: u32,
        within: Option<&value::Persons>,
        out: &mut Vec<Place>,
    ) {
        let edge = &chart.edges[at as usize];
        let span = || {
            let from = sentence.tokens[usize::from(edge.start)].0;
            let to = sentence.tokens[usize::from(edge.end) - 1].1 - 1;
            Span::new(tokens[from].span.start, tokens[to].span.end)
        };
        if edge.category == self.condition {
            let case = |child: &u32| chart.edges[*child as usize].category == self.case;
            let of_a_case = chart.children(edge).iter().any(case);
            out.push(Place {
                span: span(),
                what: if of_a_case {
                    What::Case
                } else {
                    What::Condition
                },
            });
            return;
        }
        if edge.category == self.proviso
            && let Value::Features(bits) = &edge.value
        {
            out.push(Place {
                span: trimmed(text, span()),
                what: What::Proviso(person::asked(*bits)),
            });
            return;
        }
        if edge.category == self.reference {
            out.push(Place {
                span: span(),
                what: What::Reference,
            });
            return;
        }
        let mut within = within.cloned();
        if edge.category == self.item
            && let Value::Persons(persons) = &edge.value
        {
            within = Some(persons.clone());
        }
        if self.nouns.contains(&edge.category) {
            let persons = within.clone().unwrap_or_default();
            out.push(Place {
                span: span(),
                what: What::Person(persons),
            });
            if edge.is_terminal() {
                return;
            }
        }
        if self.is_modifier(chart, edge)
            && let (Value::Features(bits), Some(persons)) = (&edge.value, &within)
        {
            let asks = person::asked(*bits);
            if asks != 0 {
                out.push(Place {
                    span: trimmed(text, span()),
                    what: What::Asks(persons.clone(), asks),
                });
                return;
            }
        }
        for child in chart.children(edge) {
            self.places(text, tokens, sentence, chart, child, within.as_ref(), out);
        }
    }

    /// Whether a phrase is a modifier of a person that is told as one: not a row of several, each of
    /// which asks something of its own.
    fn is_modifier(&self, chart: &Chart, edge: &Edge) -> bool {
        let row = |child: &u32| chart.edges[*child as usize].category == self.modifier_row;
        self.modifiers.contains(&edge.category) && !chart.children(edge).iter().any(row)
    }
}

/// A sentence without the marks that end it.
fn without_stops(
    text: &str,
    tokens: &[Token],
    mut range: std::ops::Range<usize>,
) -> std::ops::Range<usize> {
    while range.end > range.start + 1
        && matches!(
            tokens[range.end - 1].span.of(text),
            "." | "?" | "!" | ";" | ","
        )
    {
        range.end -= 1;
    }
    range
}

/// Whether this says nothing of who inspects.
fn only_speaks(says: &[Says]) -> bool {
    says.iter().all(|s| s.persons.flags & flag::SPEAKS != 0)
}

/// Where words of these classes stand in a sentence.
fn ranges_of(sentence: &Sentence, classes: &[Category]) -> Vec<std::ops::Range<usize>> {
    let mut out = Vec::new();
    for (end, terminals) in sentence.terminals.iter().enumerate() {
        for t in terminals {
            if classes.contains(&t.category) {
                out.push(usize::from(t.start)..end);
            }
        }
    }
    out
}

/// Without the commas and brackets around it.
fn trimmed(text: &str, span: Span) -> Span {
    let words = span.of(text);
    let start = words.len() - words.trim_start_matches([',', ' ', '\n', '(', '-']).len();
    let end = words.trim_end_matches([',', ' ', '\n', ')', '-']).len();
    if start >= end {
        return span;
    }
    Span::new(span.start + start, span.start + end)
}

/// What stands around a sentence.
#[derive(Clone, Copy)]
pub(crate) struct Around<'a> {
    /// Citations of the text, by place.
    pub(crate) citations: &'a [Citation],
    /// Numbers of sub-items, by place.
    pub(crate) labels: &'a [Span],
    /// Terms that the text defines.
    pub(crate) terms: &'a [Vec<u32>],
    /// The registration mark of the aircraft, where the text gives one alone.
    pub(crate) mark: Option<&'a str>,
}
