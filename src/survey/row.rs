//! One letter as one row. A row holds nothing that tells whose letter it is, unless that was asked
//! for: see `redact`.

use serde::{Deserialize, Serialize};

use crate::model::{
    Answer, DefectKind, Form, Inspection, InspectorRule, KeyTwo, Kind, Letter, Paper, RuleAnswer,
    Verdict,
};

/// What the letter as a whole says about who may do the inspection.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// It permits some and does not say that nobody else may.
    Open,
    /// Its words limit who may.
    Closed,
    /// No clause says who.
    Silent,
    /// Its clauses cannot all hold.
    Contradictory,
    /// A deciding word or page is doubtful or lost.
    Doubtful,
    /// Limitations of a light-sport category aircraft: the rule, not the paper, closes the list.
    LightSportCategory,
    /// It is no letter of operating limitations.
    NoLetter,
    /// It could not be read.
    Unreadable,
}

impl Standing {
    /// All, in the order of reports.
    pub const ALL: [Self; 8] = [
        Self::Open,
        Self::Closed,
        Self::Silent,
        Self::Contradictory,
        Self::Doubtful,
        Self::LightSportCategory,
        Self::NoLetter,
        Self::Unreadable,
    ];

    /// How many of them, at the head of [`Self::ALL`], a letter of operating limitations can have.
    pub(super) const OF_LETTERS: usize = 6;

    /// The name in machine formats.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Closed => "closed",
            Self::Silent => "silent",
            Self::Contradictory => "contradictory",
            Self::Doubtful => "doubtful",
            Self::LightSportCategory => "light-sport-category",
            Self::NoLetter => "no-letter",
            Self::Unreadable => "unreadable",
        }
    }

    /// What it means, for people.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Open => "permits some, shuts nobody out by its words",
            Self::Closed => "limits who may by its words",
            Self::Silent => "no clause says who may",
            Self::Contradictory => "its clauses cannot all hold",
            Self::Doubtful => "a deciding word or page is doubtful or lost",
            Self::LightSportCategory => "the rule, not the paper, closes the list",
            Self::NoLetter => "no letter of operating limitations",
            Self::Unreadable => "could not be read",
        }
    }
}

/// Whether only an amendment of the letter would let a kind inspect.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Amendment {
    /// Not even under the strictest reading.
    Never,
    /// Under the strictest reading, but not under the open one.
    Strict,
    /// Under every reading.
    Always,
    /// No amendment helps: no rule gives this kind the right.
    Useless,
    /// The words do not tell.
    Unknown,
}

/// The answer for one kind.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowAnswer {
    /// The kind, by its name.
    pub kind: String,
    /// `yes`, `no`, `disputed` or `undetermined`.
    pub answer: String,
    /// The answer when all open facts turn out well.
    pub if_met: String,
    /// Whether an amendment is needed.
    pub amendment: Amendment,
}

/// The clauses that say who may inspect, as far as they may be shown.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowClause {
    /// Ids of the clauses.
    pub ids: Vec<String>,
    /// Their words.
    pub words: String,
    /// The reference wording that they follow; `None` where none is.
    pub reference: Option<String>,
    /// The nearest reference wording, where they follow none but one is near.
    pub near: Option<String>,
}

/// One letter.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Row {
    /// Its number in the survey, from 1.
    pub row: u64,
    /// The name of the file, or its number.
    pub file: String,
    /// Why it could not be read.
    pub error: Option<String>,
    /// Number of pages.
    pub pages: Option<u32>,
    /// `text`, `docx`, `pdf-text`, `pdf-scan` or `image`.
    pub read_as: Option<String>,
    /// What kind of paper it is.
    pub paper: Option<String>,
    /// Paragraph of § 21.191: `g`, `i2`.
    pub basis: Option<String>,
    /// The year that the letter states.
    pub year: Option<i16>,
    /// The revision that its wording comes from, where the words tell.
    pub wording: Option<String>,
    /// What it says about who may inspect.
    pub form: Standing,
    /// The kinds named.
    pub named: Vec<String>,
    /// The kinds shut out by name.
    pub excluded: Vec<String>,
    /// The clause that says who.
    pub who: Option<RowClause>,
    /// The answers, in the order of the kinds.
    pub answers: Vec<RowAnswer>,
    /// Kinds of defects found, each once.
    pub defects: Vec<String>,
    /// What is doubtful about the reading: ids of notes, `doubtful-words`.
    pub doubt: Vec<String>,
}

impl Row {
    /// The row of a file that could not be read.
    #[must_use]
    pub fn unreadable(row: u64, file: String, why: String) -> Self {
        Self {
            row,
            file,
            error: Some(why),
            pages: None,
            read_as: None,
            paper: None,
            basis: None,
            year: None,
            wording: None,
            form: Standing::Unreadable,
            named: Vec::new(),
            excluded: Vec::new(),
            who: None,
            answers: Vec::new(),
            defects: Vec::new(),
            doubt: Vec::new(),
        }
    }
}

/// The rules of a letter that decide on an inspection: those on it by name, else general ones.
pub(super) fn deciding(letter: &Letter, inspection: Inspection) -> Vec<&InspectorRule> {
    let of = |wanted: Inspection| -> Vec<&InspectorRule> {
        letter
            .inspectors
            .iter()
            .filter(|r| r.inspection == wanted)
            .collect()
    };
    let says = |rules: &[&InspectorRule]| rules.iter().any(|r| r.form != Form::None);
    let (own, general) = (of(inspection), of(Inspection::Any));
    if says(&own) || !says(&general) {
        own
    } else {
        general
    }
}

/// What the letter says as a whole; `answers` are those for every kind.
pub(super) fn standing(letter: &Letter, rules: &[&InspectorRule], answers: &[Answer]) -> Standing {
    match letter.paper {
        Paper::OperatingLimitations | Paper::Clause => {}
        Paper::LightSportCategory => return Standing::LightSportCategory,
        _ => return Standing::NoLetter,
    }
    if letter.mixed.is_some() {
        // Each of them would have a row of its own.
        return Standing::NoLetter;
    }
    let conflict = letter.findings.iter().any(|d| {
        d.kind() == DefectKind::Contradiction
            && d.clauses
                .iter()
                .any(|c| rules.iter().any(|r| r.clause == *c))
    });
    let unclear = answers
        .iter()
        .filter(|a| a.letter.answer == KeyTwo::Unclear)
        .count();
    // Where a word is lost, nobody's answer is clear; where clauses conflict, those of some are.
    if conflict || unclear > 0 && unclear < answers.len() {
        Standing::Contradictory
    } else if unclear > 0 {
        Standing::Doubtful
    } else if rules.iter().any(|r| r.form == Form::Closed) {
        Standing::Closed
    } else if rules.iter().any(|r| r.form == Form::Open) {
        Standing::Open
    } else {
        Standing::Silent
    }
}

/// The answer for one kind as a row has it.
pub(super) fn answer(answer: &Answer) -> RowAnswer {
    RowAnswer {
        kind: answer.holder.name().to_owned(),
        answer: answer.answer.name().to_owned(),
        if_met: answer.if_met.name().to_owned(),
        amendment: amendment(answer),
    }
}

/// Whether an amendment is needed: by the letter's own words, and by what the readings of the
/// dispute would answer with all open facts turned out well. Readings that are later than the day
/// do not count.
fn amendment(answer: &Answer) -> Amendment {
    if answer.rule.answer == RuleAnswer::No {
        return Amendment::Useless;
    }
    let readings: Vec<Verdict> = answer
        .readings
        .iter()
        .filter(|r| !r.later_than_day)
        .map(|r| r.if_met)
        .collect();
    match answer.letter.answer {
        KeyTwo::ShutOut | KeyTwo::Excluded => Amendment::Always,
        KeyTwo::Unclear => Amendment::Unknown,
        KeyTwo::Named => Amendment::Never,
        KeyTwo::Unlisted | KeyTwo::Silent | KeyTwo::Generic => {
            if readings.contains(&Verdict::No) {
                if readings.iter().all(|v| *v == Verdict::No) {
                    Amendment::Always
                } else {
                    Amendment::Strict
                }
            } else if answer.if_met == Verdict::Undetermined {
                Amendment::Unknown
            } else {
                Amendment::Never
            }
        }
    }
}

/// The kinds named by the rules, each once, in the order of all kinds.
pub(super) fn kinds<'r>(
    rules: &[&'r InspectorRule],
    of: impl Fn(&'r InspectorRule) -> &'r [crate::model::NamedKind],
) -> Vec<String> {
    Kind::ALL
        .into_iter()
        .filter(|k| rules.iter().any(|r| of(r).iter().any(|n| n.kind == *k)))
        .map(|k| k.name().to_owned())
        .collect()
}
