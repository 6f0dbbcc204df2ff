//! The words of a log entry, and the words with which a letter asks for one.
//!
//! Mechanics write in abbreviations of their own ("TTAF", "A&P/IA", "app. D"), so these words have
//! a lexicon apart from that of the letters: a slip of OCR in a letter is not corrected into one.

use std::sync::Arc;

use serde::Deserialize;

use super::file::{self, Files, pattern_file};
use super::marked::Marked;
use super::tables::Finder;
use super::{Example, Loaded, PatternError, Token, WordLists};
use crate::model::{CategoryClass, Kind};

/// What words of an entry can mean, beside kinds, categories and items: the values of `means`.
pub mod means {
    /// A rating for airframes.
    pub const AIRFRAME: &str = "airframe";
    /// A rating for engines.
    pub const POWERPLANT: &str = "powerplant";
    /// Both ratings of a mechanic.
    pub const BOTH: &str = "both";
    /// An inspection rating.
    pub const INSPECTION: &str = "inspection";
    /// A maintenance rating.
    pub const MAINTENANCE: &str = "maintenance";
    /// Employed by a shop.
    pub const EMPLOYED: &str = "employed";
    /// Hours in all.
    pub const TOTAL: &str = "total";
    /// Hours of a meter that runs with the engine.
    pub const HOBBS: &str = "hobbs";
    /// Hours of a tachometer.
    pub const TACH: &str = "tach";
    /// Something else of its kind.
    pub const OTHER: &str = "other";
    /// A finding in the words of letters.
    pub const LETTER: &str = "letter";
    /// A finding that the aircraft is airworthy.
    pub const AIRWORTHY: &str = "airworthy";
    /// A finding in other words.
    pub const LOOSE: &str = "loose";
    /// The condition inspection.
    pub const CONDITION: &str = "condition";
    /// An annual inspection.
    pub const ANNUAL: &str = "annual";
    /// The inspection authorization of a mechanic.
    pub const INSPECTION_AUTHORIZATION: &str = "inspection-authorization";
    /// A word of contrast, which takes nothing back from a list of work.
    pub const CONTRAST: &str = "contrast";
    /// Somebody else says it.
    pub const HEARSAY: &str = "hearsay";
    /// Forbids flight or limits it.
    pub const FLIGHT: &str = "flight";
    /// The certificate of a person is not in force, or is none yet.
    pub const HOLDER: &str = "holder";
    /// Takes an entry back as a whole.
    pub const VOID: &str = "void";
    /// A paper of a maker, which shows the scope where the letter admits such papers.
    pub const SCOPE_OF_MAKER: &str = "scope-of-maker";
    /// A word of a limit in use: "do not exceed".
    pub const LIMIT: &str = "limit";
    /// A unit of what an engine, a propeller or a tire is limited in; hours limit the entry itself.
    pub const UNIT: &str = "unit";
    /// A need, which may lie in the future.
    pub const NEED: &str = "need";
    /// Stands before a day or hours of something to come.
    pub const BY_THEN: &str = "by-then";
    /// Somebody looks into something.
    pub const LOOKS_INTO: &str = "looks-into";
    /// A fault that no advice makes good.
    pub const GRAVE: &str = "grave";
    /// Advice to watch something or to have it done.
    pub const WATCHING: &str = "watching";
    /// Work as a whole, with the inspection in it.
    pub const WHOLE: &str = "whole";
    /// A directive, which binds.
    pub const DIRECTIVE: &str = "directive";
    /// Names an inspection and says nothing of it: its day, its checklist.
    pub const NAMED: &str = "named";
    /// What is done with papers, bills, purchases and paint.
    pub const KEEPS: &str = "keeps";
    /// Something is opened or taken off.
    pub const ACCESS: &str = "access";
    /// Equipment that an aircraft may be without.
    pub const OPTIONAL: &str = "optional";
    /// Equipment is there, connected or filled.
    pub const FITTED: &str = "fitted";
    /// Opens or governs advice on how the aircraft is run.
    pub const HANDLES: &str = "handles";
    /// What an engine is run on or watched by: fuel, oil, a temperature.
    pub const RUNS_ON: &str = "runs-on";
    /// An entry before this one.
    pub const EARLIER: &str = "earlier";
    /// What was written wrong.
    pub const SLIP: &str = "slip";
    /// A promise of what will be.
    pub const WARRANTY: &str = "warranty";
    /// Opens a clause that tells a fact.
    pub const FACT: &str = "fact";
    /// Nothing is there.
    pub const NONE: &str = "none";
    /// Denies the noun behind it.
    pub const NO: &str = "no";
    /// What an inspection may leave open.
    pub const LEFT_OPEN: &str = "left-open";
    /// Somebody helps the one who does the work.
    pub const ASSISTS: &str = "assists";
    /// The entry, its page, or an item of its list.
    pub const RECORD: &str = "record";
    /// Begins what is said of a subject.
    pub const IS: &str = "is";
    /// An inspection or work was done.
    pub const DONE: &str = "done";
    /// Says that two meters show the same.
    pub const SAME: &str = "same";
    /// Papers beside the entry.
    pub const PAPERS: &str = "papers";
    /// Follows a participle and is not its object.
    pub const SMALL: &str = "small";
    /// Equipment is taken out of use.
    pub const SET_ASIDE: &str = "set-aside";
    /// Work that renews a part, and whose absence is no fault.
    pub const RENEWS: &str = "renews";
    /// Says that work was wanted.
    pub const WORN: &str = "worn";
    /// Stands before the number of a job.
    pub const JOB: &str = "job";
    /// Says of a shop that it is approved.
    pub const STANDING: &str = "standing";
    /// The part that was there before.
    pub const FORMER: &str = "former";
    /// A 100-hour inspection.
    pub const HUNDRED_HOUR: &str = "100-hour";
    /// A part of an aircraft.
    pub const THING: &str = "thing";
    /// Work on a part, or a look at it.
    pub const WORK: &str = "work";
    /// A state in which a part ought to be.
    pub const WELL: &str = "well";
    /// Tells no state of a part: where it is, what it is of.
    pub const PLAIN: &str = "plain";
    /// A method of inspection that takes a shop of its own.
    pub const METHOD: &str = "method";
    /// Names a test for a fault.
    pub const TEST: &str = "test";
    /// A participle that tells of a fault.
    pub const ILL: &str = "ill";
    /// Says of a directive that it has not been complied with.
    pub const UNDONE: &str = "undone";
    /// The readings of a test of cylinders follow.
    pub const CYLINDERS: &str = "cylinders";
    /// Stands before the least figure that is allowed.
    pub const LEAST: &str = "least";
    /// Stands before the greatest figure that is allowed.
    pub const MOST: &str = "most";
    /// What grows as a part wears: of it a limit is the greatest figure.
    pub const GROWS: &str = "grows";
    /// Stands before a limit, the least or the greatest.
    pub const BOUND: &str = "bound";
    /// Opens a sentence that tells where a fault comes from.
    pub const CAUSE: &str = "cause";
    /// Names a column of a log.
    pub const HEADING: &str = "heading";
    /// Says that work did not mend a fault.
    pub const IN_VAIN: &str = "in-vain";
    /// Answers a question of a form.
    pub const ANSWER: &str = "answer";
    /// What was or would have been.
    pub const WAS: &str = "was";
    /// Somebody who does not inspect: an owner, a neighbor.
    pub const PERSON: &str = "person";
    /// Weather, food, animals, places, money, tools: nothing that an inspection is of.
    pub const ASIDE: &str = "aside";
    /// Who writes the entry.
    pub const WRITER: &str = "writer";
    /// Stands for something that was named or for all of it.
    pub const STAND_IN: &str = "stand-in";
    /// What an inspector does or leaves, in whatever form.
    pub const DEED: &str = "deed";
    /// Says that something is needed.
    pub const NEEDED: &str = "needed";
    /// Stands between a need and the rule that has it.
    pub const OF_RULE: &str = "of-rule";
    /// Stands before what came later.
    pub const AHEAD: &str = "ahead";
    /// Tells what was done, in an irregular form.
    pub const TOLD: &str = "told";
    /// Stands beside the ratings of a station.
    pub const RATED: &str = "rated";
    /// Takes all else out.
    pub const NARROWS: &str = "narrows";
    /// Opens a phrase of place or time.
    pub const PLACES: &str = "places";
    /// Joins two names.
    pub const JOINS: &str = "joins";
    /// What is denied leaves things as they were.
    pub const INERT: &str = "inert";
    /// A rule, or a paper that says how something is done.
    pub const RULE: &str = "rule";
    /// Leaves it to the work whether something is needed.
    pub const WHERE_SO: &str = "where-so";
    /// A unit of a reading.
    pub const MEASURE: &str = "measure";
    /// Says that a part is another one than before.
    pub const FRESH: &str = "fresh";
    /// Beside a figure, says that it is not as it ought to be.
    pub const AMISS: &str = "amiss";
    /// A book by which an inspection is done.
    pub const BOOK: &str = "book";
    /// Heads a list of parts.
    pub const PARTS: &str = "parts";
    /// Stands before a figure that something is held against.
    pub const COMPARES: &str = "compares";
    /// A thing with writing on it.
    pub const QUOTED: &str = "quoted";
    /// Stands before what ends a state.
    pub const UP_TO: &str = "up-to";
    /// Says that something was there for a time.
    pub const FOR_A_TIME: &str = "for-a-time";
    /// Stands before what says when something was.
    pub const WHEN: &str = "when";
    /// Says in the present what something is.
    pub const BE: &str = "be";
    /// Says in the present what something has.
    pub const HAS: &str = "has";
    /// A verb by which something is told in the present.
    pub const PRESENT: &str = "present";
    /// A verb that reports the figure or the state behind it.
    pub const REPORTS: &str = "reports";
    /// A verb that is true of a sound part.
    pub const WORKS: &str = "works";
    /// Stands behind a verb, and seldom behind a noun.
    pub const OPENS: &str = "opens";
    /// Opens a clause that says when, where or why.
    pub const WHEN_SO: &str = "when-so";
    /// Opens a noun.
    pub const ARTICLE: &str = "article";
    /// Opens a noun of which one of several is meant.
    pub const SINGLE: &str = "single";
    /// A verb that says of a thing that it is as it ought to be.
    pub const AGREES: &str = "agrees";
    /// Stands before a range in which a reading has to be.
    pub const RANGE: &str = "range";
    /// Names the day on which a paper was issued.
    pub const ISSUE: &str = "issue";
    /// Says how often or how much.
    pub const ADVERB: &str = "adverb";
    /// What flows through a system, or gets where it ought not to be.
    pub const FLUID: &str = "fluid";
    /// Joins two predicates.
    pub const AND: &str = "and";
    /// Part of a verb in the perfect.
    pub const BEEN: &str = "been";
    /// Opens what is said of the noun before it.
    pub const RELATIVE: &str = "relative";
    /// What a word by which remarks are told apart may mean.
    pub const WORDS: [&str; 97] = [
        RANGE, AGREES, ISSUE, SINGLE, BE, HAS, PRESENT, REPORTS, WORKS, OPENS, WHEN_SO, ARTICLE,
        ADVERB, FLUID, AND, BEEN, RELATIVE, BOOK, AMISS, PARTS, COMPARES, QUOTED, UP_TO,
        FOR_A_TIME, WHEN, FRESH, MEASURE, INERT, RULE, WHERE_SO, PERSON, ASIDE, WRITER, STAND_IN,
        DEED, NEEDED, OF_RULE, AHEAD, TOLD, RATED, NARROWS, PLACES, JOINS, IN_VAIN, ANSWER, GROWS,
        BOUND, CAUSE, HEADING, WAS, METHOD, TEST, ILL, UNDONE, THING, WORK, WELL, PLAIN, CYLINDERS,
        LEAST, MOST, STANDING, JOB, RENEWS, WORN, SMALL, SET_ASIDE, PAPERS, SAME, LIMIT, UNIT,
        NEED, BY_THEN, LOOKS_INTO, GRAVE, WATCHING, WHOLE, DIRECTIVE, NAMED, KEEPS, ACCESS,
        OPTIONAL, FITTED, HANDLES, RUNS_ON, EARLIER, SLIP, WARRANTY, FACT, NONE, NO, LEFT_OPEN,
        FORMER, RECORD, IS, DONE, ASSISTS,
    ];
}

/// What the words of a file are to an entry. Closed, because the reader has to know what to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EntryRole {
    /// A certificate of the signer; `means` is a kind of inspector.
    Certificate,
    /// A rating of the signer; `means` is `airframe`, `powerplant`, `both`, `inspection`,
    /// `maintenance`, `inspection-authorization` or `employed` (by a shop).
    Rating,
    /// A rating as a letter, where a number follows; `means` as for a rating.
    RatingLetter,
    /// What the signer was trained for; `means` is a category, or category and class.
    Category,
    /// The signer says that the aircraft is another's.
    NotOwner,
    /// Somebody without a certificate.
    Uncertificated,
    /// The certificate is said to be for another aircraft.
    OtherCard,
    /// Work under somebody's supervision.
    Supervision,
    /// Stands before a figure of hours; `means` is `total`, `hobbs`, `tach` or `other`.
    TimeLabel,
    /// Hours, after a figure.
    HoursUnit,
    /// May stand between a label of hours and its figure.
    TimeBetween,
    /// A finding that the aircraft is fit; `means` is `letter` (condition for safe operation),
    /// `airworthy` or `loose`.
    Affirmative,
    /// A finding that it is not, in words of its own.
    Negative,
    /// Turns a finding that follows.
    Negator,
    /// May stand between a negator and the finding that it turns.
    Between,
    /// Takes something out of the finding before it.
    Exception,
    /// A fault of a part.
    Discrepancy,
    /// A fault that is said not to be there.
    NoFault,
    /// Work that mends a fault.
    Corrected,
    /// Advice for later, no fault that grounds.
    Advice,
    /// A word by which remarks beside the statement are told apart; `means` is one of
    /// [`means::WORDS`].
    Word,
    /// Work for later, which explains a modal verb and mends nothing.
    Later,
    /// The aircraft was looked at.
    Inspected,
    /// Which inspection; `means` is `condition`, `annual`, `100-hour` or `other`.
    Inspection,
    /// The work had not been finished.
    Unfinished,
    /// Casts doubt on what the entry says, where no other words of it take it up; `means` is
    /// `contrast`, `hearsay`, `flight`, `holder`, `void` or nothing.
    Doubt,
    /// Holds a word of doubt and says nothing of what the inspection is worth.
    Harmless,
    /// Stands before a name: printed, not signed.
    NameLabel,
    /// Stands before a signature.
    SignatureLabel,
    /// Says that there is no signature.
    Unsigned,
    /// Stands before the number of a certificate.
    NumberLabel,
    /// Stands before a serial number.
    SerialLabel,
    /// A part that has a serial number of its own.
    Part,
    /// A duty that stands apart from the inspection: a check of the transponder, the registration.
    Apart,
    /// A part of the aircraft that can be inspected by itself.
    Component,
    /// The aircraft as a whole.
    Aircraft,
    /// Stands before a day that is not the day of the inspection.
    OtherDay,
    /// Shows an aircraft that needs an inspection program.
    Program,
    /// Shows one that needs none: it has a piston engine, or one engine.
    NoProgram,
    /// Puts part 43 on the aircraft.
    #[serde(rename = "imposes-part-43")]
    ImposesPart43,
    /// Shows an aircraft from abroad.
    Import,
    /// Speaks of an engine or propeller of a certificated type.
    CertificatedEngine,
    /// Stands before the day on which a certificate ends.
    Expires,
    /// Stands before the day of the entry.
    DayLabel,
    /// A blank of a template.
    Blank,
    /// A word with a capital that is no name.
    NoName,
    /// A short form within a name, such as "Wm.".
    NameShort,
    /// Stands before the name of the builder in a letter.
    BuilderLabel,
    /// Opens a sentence of a letter that says what an entry shows.
    Demand,
    /// The words of a letter that ask for an item; `means` is the item.
    Asks,
    /// The words of an entry that show an item; `means` is the item.
    Shows,
}

pattern_file! {
    /// One file of `patterns/entry/`.
    EntryFile, hit: Example, miss: Example, {
        /// What the words are to an entry.
        role: EntryRole,
        /// What they mean, where the role needs it.
        #[serde(default)]
        means: String,
        /// For the readings of a test: the least one that is sound, and the figure that it is taken
        /// against, in the same unit.
        #[serde(default)]
        least: Option<(u32, u32)>,
        /// The words; see [`super::phrase`].
        any: Vec<String>,
    }
}

/// All files of the folder, compiled.
#[derive(Debug, Default)]
pub struct Entries {
    /// The files.
    pub files: Vec<Loaded<EntryFile>>,
    /// The words that these files know, and their phrases.
    marked: Marked,
    /// The lists of words beside them.
    lists: Arc<WordLists>,
}

/// Words of an entry with their meaning.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EntryMark {
    /// What they are to the entry.
    pub role: EntryRole,
    /// Index of the file that knows them.
    pub file: usize,
    /// First token.
    pub from: usize,
    /// One past the last token.
    pub to: usize,
}

/// The folder of these files.
const ROOM: &str = "entry";

/// No phrase has more tokens.
const LONGEST: usize = 24;

impl Entries {
    /// Takes what the build compiled, or compiles where a folder lays words over it.
    pub(super) fn compile(
        all: &Files,
        built: &'static [u8],
        lists: Arc<WordLists>,
    ) -> Result<Self, PatternError> {
        let marked = file::as_built(all, &[ROOM])
            .then(|| Finder::find(built))
            .flatten();
        let files: Vec<Loaded<EntryFile>> = match marked {
            Some(_) => file::load(all, ROOM)?,
            None => file::load_as_written(all, ROOM)?,
        };
        for loaded in &files {
            if let Some(message) = wrong_meaning(&loaded.file) {
                return Err(loaded.refuse(message));
            }
        }
        let marked = match marked {
            Some(marked) => marked,
            None => Marked::new(files.iter().map(|f| f.file.any.as_slice()))
                .map_err(|(n, message)| files[n].refuse(message))?,
        };
        Ok(Self {
            files,
            marked,
            lists,
        })
    }

    /// The lists of words beside the words of entries.
    #[must_use]
    pub fn lists(&self) -> &WordLists {
        &self.lists
    }

    /// The tokens of a text, numbered by the words that these files know.
    #[must_use]
    pub fn tokens(&self, text: &str) -> Vec<Token> {
        self.marked.lexicon.tokens(text)
    }

    /// The number of a word of these files; 0 where none knows it.
    #[must_use]
    pub fn word(&self, word: &str) -> u32 {
        self.marked.lexicon.number(word)
    }

    /// Whether the words have the role as a whole.
    #[must_use]
    pub fn is_whole(&self, words: &str, role: EntryRole) -> bool {
        let tokens = self.tokens(words);
        self.marks(&tokens)
            .iter()
            .any(|m| m.role == role && m.from == 0 && m.to == tokens.len())
    }

    /// Whether words of a text may have the role: most texts have none, and are looked at no closer.
    #[must_use]
    pub fn may_show(&self, text: &str, role: EntryRole) -> bool {
        self.among(&self.tokens(text), role)
    }

    fn among(&self, tokens: &[Token], role: EntryRole) -> bool {
        let of_role = |file: &u16| {
            let loaded = self.files.get(usize::from(*file));
            loaded.is_some_and(|f| f.file.role == role)
        };
        (0..tokens.len()).any(|at| {
            let mut here = self.marked.phrases.all_at(tokens, at);
            here.any(|(_, files)| files.iter().any(of_role))
        })
    }

    /// The first words of a text that have the role.
    #[must_use]
    pub fn shown(&self, text: &str, role: EntryRole) -> Option<String> {
        let tokens = self.tokens(text);
        if !self.among(&tokens, role) {
            return None;
        }
        self.marks(&tokens)
            .iter()
            .find(|m| m.role == role)
            .map(|m| {
                let span =
                    crate::model::Span::new(tokens[m.from].span.start, tokens[m.to - 1].span.end);
                span.of(text)
                    .split_whitespace()
                    .collect::<Vec<_>>()
                    .join(" ")
            })
    }

    /// What the words of that role in a text mean, in order.
    #[must_use]
    pub fn meanings(&self, text: &str, role: EntryRole) -> Vec<&str> {
        let tokens = self.tokens(text);
        self.marks(&tokens)
            .iter()
            .filter(|m| m.role == role)
            .map(|m| self.means(m))
            .collect()
    }

    /// What a mark means: a kind, a rating, an item.
    #[must_use]
    pub fn means(&self, mark: &EntryMark) -> &str {
        self.files
            .get(mark.file)
            .map_or("", |f| f.file.means.as_str())
    }

    /// The least sound reading of the test that a mark speaks of, and the figure it is taken against.
    #[must_use]
    pub fn least(&self, mark: &EntryMark) -> Option<(u32, u32)> {
        self.files.get(mark.file).and_then(|f| f.file.least)
    }

    /// Every phrase found, the longest of a file at each place, in order of the text. Phrases of
    /// different files may overlap; of two phrases of one role, one within the other, the longer
    /// stands.
    #[must_use]
    pub fn marks(&self, tokens: &[Token]) -> Vec<EntryMark> {
        let mut marks: Vec<EntryMark> = Vec::new();
        for at in 0..tokens.len() {
            for (to, uses) in self.marked.phrases.all_at(tokens, at) {
                for file in uses.iter().copied().map(usize::from) {
                    let Some(role) = self.files.get(file).map(|f| f.file.role) else {
                        continue;
                    };
                    marks.push(EntryMark {
                        role,
                        file,
                        from: at,
                        to,
                    });
                }
            }
        }
        let within = |a: &EntryMark, b: &EntryMark| {
            a.role == b.role
                && b.from <= a.from
                && a.to <= b.to
                && (b.to - b.from) > (a.to - a.from)
        };
        marks
            .iter()
            .enumerate()
            .filter(|(n, a)| {
                // Only neighbors can hold it: they are in order of their first tokens.
                let before = marks[..*n]
                    .iter()
                    .rev()
                    .take_while(|b| b.from + LONGEST > a.from);
                let after = marks[n + 1..].iter().take_while(|b| b.from == a.from);
                !before.chain(after).any(|b| within(a, b))
            })
            .map(|(_, a)| a.clone())
            .collect()
    }
}

/// What is wrong with the meaning of a file, where something is.
fn wrong_meaning(file: &EntryFile) -> Option<String> {
    let of: &[&str] = match file.role {
        EntryRole::Certificate => {
            return Kind::from_name(&file.means)
                .is_none()
                .then(|| format!("«{}» is no kind of inspector", file.means));
        }
        EntryRole::Category => {
            return CategoryClass::parse(&file.means)
                .is_none()
                .then(|| format!("«{}» is no category", file.means));
        }
        EntryRole::Rating | EntryRole::RatingLetter => &[
            means::AIRFRAME,
            means::POWERPLANT,
            means::BOTH,
            means::INSPECTION,
            means::MAINTENANCE,
            means::INSPECTION_AUTHORIZATION,
            means::EMPLOYED,
        ],
        EntryRole::TimeLabel => &[means::TOTAL, means::HOBBS, means::TACH, means::OTHER],
        EntryRole::Affirmative => &[means::LETTER, means::AIRWORTHY, means::LOOSE],
        EntryRole::Inspection => &[
            means::CONDITION,
            means::ANNUAL,
            means::HUNDRED_HOUR,
            means::OTHER,
        ],
        EntryRole::Doubt => &[
            "",
            means::CONTRAST,
            means::HEARSAY,
            means::FLIGHT,
            means::HOLDER,
            means::VOID,
        ],
        EntryRole::Word => &means::WORDS,
        EntryRole::Asks | EntryRole::Shows => &[
            "date",
            "statement",
            "scope",
            means::SCOPE_OF_MAKER,
            "extent",
            "time-in-service",
            "cycles",
            "name",
            "signature",
            "certificate-number",
            "certificate-kind",
        ],
        _ => &[""],
    };
    (!of.contains(&file.means.as_str())).then(|| {
        format!(
            "«{}» is no meaning of this role; expected one of: {}",
            file.means,
            of.join(", ")
        )
    })
}
