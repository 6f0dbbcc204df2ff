//! Lists of words that the code asks for by name: it knows what a list is for, the files know which
//! words stand in it.
//!
//! The words are no part of the [`super::Lexicon`]: they are asked for by their letters, so that a
//! word of a list is no term of letters to which a slip of OCR may be corrected.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;
use serde::Deserialize;

use super::file::pattern_file;
use super::{Loaded, PatternError};

pattern_file! {
    /// One file of `patterns/list/`: lists that belong together.
    ListFile, hit: ListExample, miss: ListMiss, {
        /// Words by list, in lines; `inspect*` is every word that begins so, `*ist` every word
        /// that ends so, and `_` a blank between words.
        lists: BTreeMap<WordList, Vec<String>>,
    }
}

/// A text with a word of a list.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ListExample {
    /// The list.
    pub list: WordList,
    /// The text.
    pub text: String,
    /// The word.
    pub span: String,
}

/// A text without a word of a list.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ListMiss {
    /// The list.
    pub list: WordList,
    /// The text.
    pub text: String,
    /// Why its words do not belong there.
    pub why: String,
}

macro_rules! word_lists {
    ($($(#[$doc:meta])* $name:ident,)*) => {
        /// The lists. A closed set, because the code has to know what to do with them.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
        #[serde(rename_all = "kebab-case")]
        pub enum WordList { $($(#[$doc])* $name,)* }

        impl WordList {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];
        }
    };
}

word_lists! {
    /// Verbs that make a sentence of words.
    Finite,
    /// Words that point to what stands beside them in a clause.
    PointsBack,
    /// Words with which somebody's authority is given, taken or changed.
    Authority,
    /// Words that take a rule back for some.
    Waive,
    /// Beginnings of words for records and what is written in them.
    Recorded,
    /// What somebody may have to have or to do before he may act.
    Requirement,
    /// Nouns by which a letter calls its clauses.
    ClauseNoun,
    /// "The preceding limitation".
    Preceding,
    /// "The next limitation".
    Following,
    /// Between the first and the last of several clauses.
    Through,
    /// "In addition to".
    Addition,
    /// Verbs for doing an inspection.
    Performs,
    /// What is stamped on a letter that counts no longer.
    Stamp,
    /// Words for everybody else.
    Others,
    /// With which a sentence on what to keep, send or ask begins.
    Clerical,
    /// What may stand before such a word.
    ClericalFore,
    /// Words that point to the letter or to a clause of it.
    PointsToLetter,
    /// Nouns behind "this" that mean the letter, the aircraft or the office, and no list.
    OfLetter,
    /// Words with which a paper or a rule is said to hold or not to hold.
    Validity,
    /// Nouns and participles for what a rule gives: a sentence with one is about the rule.
    RuleItself,
    /// Numbers of the rules that give somebody the privilege, and what stands before them.
    PersonRule,
    /// "Section", "part".
    BeforeRule,
    /// What may happen to a privilege.
    Affects,
    /// Verbs of a definition.
    Defines,
    /// Words of a letter whose redefinition changes who may.
    Redefined,
    /// "The lists in this letter".
    ListNoun,
    /// How much a list says.
    HowFull,
    /// "These limitations", "this letter".
    LetterNoun,
    /// What takes its force from a letter.
    Annuls,
    /// Words for all that there is.
    Everything,
    /// Words for records and what is written in them.
    RecordKept,
    /// Words for a person of whom no more is said.
    AnyPerson,
    /// Pronouns for whoever did something, and what he is named by.
    Performer,
    /// Verbs for an inspection that somebody does, has done or signs.
    DoneBySomebody,
    /// Words that ask something of a person.
    Qualifies,
    /// Words by which another, earlier paper is meant.
    FormerPaper,
    /// What a sentence about the words before it has for its subject: "the restriction".
    RuleNoun,
    /// Things of somebody that are no right and no deed: "the builder's certificate".
    GenitiveThing,
    /// "The builder's": somebody who could inspect, as a genitive.
    GenitivePerson,
    /// Pronouns for a thing that the sentence has named before.
    RefersToThing,
    /// Words behind which "that" is a pronoun: "for that".
    BeforePronoun,
    /// Nouns for less than a whole clause.
    PartOfClause,
    /// A note of an order on the aircraft to which a limitation applies.
    Applicability,
    /// Words for a rating and for training.
    Rated,
    /// What a rating may be for.
    Category,
    /// Words for owning, behind a word that demands it.
    Owned,
    /// The finite verb of owning.
    Owns,
    /// Words for supervision.
    Supervised,
    /// Participles that say somebody has a certificate.
    Certificated,
    /// A participle with which the same person goes on behind a comma.
    Holding,
    /// The verb of a question for who has to hold a certificate.
    Hold,
    /// Verbs that demand a certificate.
    Possess,
    /// Words for the inspection authorization.
    Authorization,
    /// Verbs for taking somebody on.
    Choose,
    /// Beginnings of words that say somebody will do.
    Accept,
    /// What a certificate is said not to do.
    Cover,
    /// Ends of nouns for people.
    AgentEnding,
    /// Beginning of the words for inspecting.
    Inspecting,
    /// The noun.
    Inspection,
    /// Beginning of the noun for who inspects.
    Inspector,
    /// The noun for who inspects, and the participle.
    InspectorTerm,
    /// Pieces that a misread word for the condition inspection keeps.
    MisreadInspection,
    /// What stands before an inspection that is still to come.
    Pending,
    /// Forms without -ed behind which an agent may follow.
    Done,
    /// What stands before the name of an inspection within a sentence, so that no row of a table begins with it.
    BeforeInspection,
    /// Words that bar.
    Barred,
    /// The verb, whose forms have no common stem.
    Fly,
    /// The noun behind "no" that bars everybody.
    Person,
    /// What an inspection is of.
    Condition,
    /// Nouns for the letter that an inspection is of.
    Document,
    /// The noun for a certificate.
    Certificate,
    /// How a letter begins to name itself behind "by these" and "by the".
    PaperHead,
    /// A word for a list.
    List,
    /// Words that may stand within a list of numbers of clauses.
    NumberLabel,
    /// A head over definitions.
    Definitions,
    /// A phrase that announces definitions, before "of".
    Purposes,
    /// The word for a phase of operation.
    Phase,
    /// How a heading of a phase begins.
    PhaseHead,
    /// The noun for the aircraft.
    Aircraft,
    /// The noun for the paper, as its owner calls it.
    Letter,
    /// Beginnings of words of the clause on the record of the inspection.
    OfRecord,
    /// Beginnings of words of the clause on the papers aboard.
    OfPapersAboard,
    /// Beginnings of words that older sets of limitations have.
    OfOlderSets,
    /// What stands before the number of a section.
    Section,
    /// What stands before the number of a part of the rules.
    Part,
    /// A part of the rules or what is appended to one, behind "per".
    RulePart,
    /// Words behind which a number of a rule goes on over the end of a page.
    RuleUnit,
    /// What may follow "by" and is no agent.
    ByRule,
    /// The code of the rules, behind its title.
    Cfr,
    /// The rules by their short name.
    Far,
    /// What stands in the place of the sign of a section.
    SectionSign,
    /// What stands before the number of one part or several.
    Parts,
    /// What a part has besides sections, each with a letter.
    Appendix,
    /// Words that belong to a citation beside them.
    PartOfCitation,
    /// Words behind which "only" takes back what was said.
    Concedes,
    /// Nouns for what is given to somebody who may act.
    Grant,
    /// Participles of writing, asking and allowing, whose agent does not inspect.
    Authored,
    /// Verbs for flying it.
    Operated,
    /// Words for looking at parts and equipment.
    Checked,
    /// Participles of giving, limiting and taking authority.
    Ordered,
    /// Verbs for it.
    Orders,
    /// Verbs for what a list of rules does.
    Applies,
    /// Nouns for places of work.
    Place,
    /// Words that limit or deny.
    Limits,
    /// Verbs for a duty.
    Obliges,
    /// Participles for it.
    Obliged,
    /// What begins a phrase that "only" before it limits.
    LimitedByOnly,
    /// Rules that ask for other inspections than of the condition: of altimeters, transponders, ELTs, VORs.
    OtherInspectionRule,
    /// Beginning of the words for a year.
    Year,
    /// Comparatives of time behind "no", which bar nothing.
    Later,
    /// Nouns behind which a condition does not name its subject.
    Event,
    /// Words behind which a noun takes no number.
    Ordinal,
    /// Units, and words for how often.
    Measure,
    /// What tells one sort of a unit from another.
    SortOfMeasure,
    /// The sort of months that end with the month.
    Calendar,
    /// Units from a day on: who counts them says how often or how long ago.
    DaysAndMore,
    /// Adjectives for the time that ends now.
    Past,
    /// What is said of an inspection or a certificate that still counts.
    InForce,
    /// The same where a statement counts back.
    Previous,
    /// Beginning of the words for a month.
    Month,
    /// Beginning of the words for an hour.
    Hour,
    /// Beginning of the words for a day.
    Day,
    /// The noun, in the singular.
    OneYear,
    /// The adjective before an inspection that comes each year.
    Annual,
    /// Adverbs for what comes each year.
    Annually,
    /// What "not" belongs to behind a modal, beside "more" and "less".
    Exceeding,
    /// What stands before "will" as a noun.
    BeforeWill,
    /// Rows of words between a modal and its verb that say nothing of who and what.
    SetPhrase,
    /// A participle that opens an insertion between commas.
    Acting,
    /// A participle behind which "that" opens what was laid down, not what somebody says.
    Resolved,
    /// Nouns behind "in" that make a condition and no place.
    InCompliance,
    /// Nouns behind "in" with which the list of persons ends.
    InAccordance,
    /// Short forms within clauses.
    ShortForm,
    /// Short forms of the legal form of a firm, behind its name.
    FirmForm,
    /// Short forms of the trade and of names within entries.
    ShortFormOfEntry,
    /// Participles that give leave.
    Permitted,
    /// Participles that lay a duty.
    Required,
    /// Participles that advise.
    Recommended,
    /// Adverbs that limit as "only" does.
    Solely,
    /// Words that open a condition, beside the conjunctions.
    Prior,
    /// Words that bar or limit in a statement without a modal.
    Bars,
    /// Beginning of the participle that limits.
    Limited,
    /// What stands before a word that is itself spoken of.
    SpokenOf,
    /// A verb before the number of a clause that makes no subject of it.
    Says,
    /// Verbs of barring that also say where something stays.
    Keep,
    /// Verbs with which somebody speaks of himself; an s makes them speak of another.
    OfHimself,
    /// The same in the past, with one form for all.
    Built,
    /// Verbs of one who says what the letter says.
    Speaks,
    /// Auxiliaries with their negation in them.
    NegatedAuxiliary,
    /// The tachometer, as the unit of a figure.
    Tach,
    /// The meter that runs with the engine, as the unit of a figure.
    Hobbs,
    /// Units of hours that may be written together with their figure.
    UnitOfHours,
    /// What makes a figure before it the name of an inspection.
    InspectionInEntry,
    /// A word before a number, beside "no".
    Number,
    /// Words that speak of a rating, a mechanic or a certificate.
    OfRating,
    /// Beginnings of words of a label before a printed name.
    PrintedName,
    /// What stands between a certificate and the aircraft that it names.
    OfCard,
    /// The regulator, before a certificate or a number.
    Faa,
    /// The one to whom a number belongs.
    Holder,
    /// Beginning of words by which somebody calls himself the owner.
    OwnerFirst,
    /// Small words within a name.
    NameParticle,
    /// What stands before work that is still to be done, beside prepositions.
    Needs,
    /// Beginning of the word for an aircraft that is fit.
    Airworthy,
    /// The participle before the day of an inspection.
    Inspected,
    /// The same within the statement that a letter asks for.
    SaysInspected,
    /// How an appendix of the rules begins behind their part.
    AppendixHead,
    /// Beginnings of words over the column of the basis.
    BasisColumn,
    /// Beginnings of words over the column of the limitations.
    TextColumn,
    /// Beginnings of words over the column of the numbers.
    NumberColumn,
    /// How an instruction to the inspector begins.
    HeadOfInstruction,
    /// Rows of words that speak to the inspector, wherever they stand.
    ToInspector,
    /// What stands in the place of an item that the order leaves empty.
    Reserved,
    /// A verb behind which a section is a citation of the text.
    See,
}

/// The lists in which a word stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct InLists(Bits);

/// How many words hold a bit for each list.
const WORDS: usize = 3;

/// A set of lists.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Bits([u64; WORDS]);

impl Bits {
    fn add(&mut self, list: WordList) {
        let (word, bit) = list.place();
        self.0[word] |= bit;
    }

    const fn has(self, list: WordList) -> bool {
        let (word, bit) = list.place();
        self.0[word] & bit != 0
    }
}

impl InLists {
    /// Whether it stands in this one.
    #[must_use]
    pub const fn has(self, list: WordList) -> bool {
        self.0.has(list)
    }
}

impl WordList {
    /// The word that holds its bit, and the bit.
    const fn place(self) -> (usize, u64) {
        (self as usize / 64, 1 << (self as u32 % 64))
    }
}

/// All lists, compiled.
#[derive(Debug, Default)]
pub struct WordLists {
    /// The files.
    pub files: Vec<Loaded<ListFile>>,
    /// The lists in which a word stands, by the word.
    words: FxHashMap<Box<[u8]>, Bits>,
    /// Beginnings of words, by the list.
    stems: Parts,
    /// Ends of words, by the list.
    endings: Parts,
}

/// Parts of words, by the list in which they stand.
type Parts = Vec<Vec<Box<str>>>;

/// No word of a list that is given whole is longer, in bytes.
const LONGEST: usize = 24;

/// No row of words is longer.
const LONGEST_ROW: usize = 3;

impl WordLists {
    pub(super) fn compile(files: Vec<Loaded<ListFile>>) -> Result<Self, PatternError> {
        let mut all = Self::default();
        let mut seen = Bits::default();
        for loaded in &files {
            let ListFile {
                lists, hit, miss, ..
            } = &loaded.file;
            for (list, lines) in lists {
                if seen.has(*list) {
                    return Err(loaded.refuse(format!(
                        "the list {list:?} stands in another file already; it has one place"
                    )));
                }
                seen.add(*list);
                let lacks =
                    !hit.iter().any(|h| h.list == *list) || !miss.iter().any(|m| m.list == *list);
                // a file of the program has its examples where it is checked
                if lacks && !hit.is_empty() {
                    return Err(loaded.refuse(format!(
                        "the list {list:?} needs a [[hit]] and a [[miss]] of its own"
                    )));
                }
                for word in lines.iter().flat_map(|line| line.split_whitespace()) {
                    all.add(word, *list)
                        .map_err(|message| loaded.refuse(message))?;
                }
            }
        }
        if let Some(list) = WordList::ALL.iter().find(|l| !seen.has(**l)) {
            return Err(PatternError::Form {
                file: "list/*.toml".into(),
                message: format!("no file has the list {list:?}; one of them has to"),
            });
        }
        all.files = files;
        Ok(all)
    }

    fn add(&mut self, word: &str, list: WordList) -> Result<(), String> {
        if word.chars().any(char::is_uppercase) {
            return Err(format!("«{word}»: expected a word in lower case"));
        }
        let (parts, part) = if let Some(stem) = word.strip_suffix('*') {
            (&mut self.stems, stem)
        } else if let Some(ending) = word.strip_prefix('*') {
            (&mut self.endings, ending)
        } else {
            if word.len() > LONGEST {
                return Err(format!(
                    "«{word}»: a whole word has at most {LONGEST} letters; write its beginning and a star"
                ));
            }
            self.words
                .entry(word.as_bytes().into())
                .or_default()
                .add(list);
            return Ok(());
        };
        if part.is_empty() || part.contains('*') {
            return Err(format!(
                "«{word}»: expected letters on one side of the star"
            ));
        }
        parts.resize(WordList::ALL.len(), Vec::new());
        parts[list as usize].push(part.replace('_', " ").into());
        Ok(())
    }

    /// The lists in which a word stands with all its letters, whatever their case.
    #[must_use]
    pub fn of(&self, word: &str) -> InLists {
        let mut buffer = [0u8; LONGEST];
        let lists = buffer.get_mut(..word.len()).and_then(|lower| {
            lower.copy_from_slice(word.as_bytes());
            lower.make_ascii_lowercase();
            self.words.get(&*lower)
        });
        InLists(lists.copied().unwrap_or_default())
    }

    /// Whether a word stands in a list, whatever the case of its letters.
    #[must_use]
    pub fn has(&self, word: &str, list: WordList) -> bool {
        self.of(word).has(list) || self.has_part(word.as_bytes(), list)
    }

    /// The beginnings of words that stand in a list.
    pub fn stems(&self, list: WordList) -> impl Iterator<Item = &str> {
        parts_of(&self.stems, list)
    }

    fn has_part(&self, word: &[u8], list: WordList) -> bool {
        let same = |part: Option<&[u8]>, known: &str| {
            part.is_some_and(|p| p.eq_ignore_ascii_case(known.as_bytes()))
        };
        parts_of(&self.stems, list).any(|stem| same(word.get(..stem.len()), stem))
            || parts_of(&self.endings, list).any(|ending| {
                let at = word.len().checked_sub(ending.len());
                same(at.and_then(|at| word.get(at..)), ending)
            })
    }

    /// Whether a text in lower case holds a beginning of the list, be it within a word:
    /// "reinspected".
    #[must_use]
    pub fn within(&self, lower: &str, list: WordList) -> bool {
        parts_of(&self.stems, list).any(|stem| lower.contains(stem))
    }

    /// How many words the row of the list has that begins with word 0; rows are written with `_`
    /// for their blanks: `at_any_time`.
    #[must_use]
    pub fn row<'w>(&self, list: WordList, word: impl Fn(usize) -> &'w str) -> Option<usize> {
        let mut row = word(0).to_owned();
        (2..=LONGEST_ROW).find(|n| {
            row.push('_');
            row.push_str(word(n - 1));
            self.of(&row).has(list)
        })
    }
}

const _: () = assert!(
    WordList::ALL.len() <= WORDS * 64,
    "the lists are bits of a row of words"
);

fn parts_of(parts: &Parts, list: WordList) -> impl Iterator<Item = &str> {
    let of_list = parts.get(list as usize).into_iter().flatten();
    of_list.map(|part| &**part)
}
