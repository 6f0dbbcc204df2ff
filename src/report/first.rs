//! What the first screen says: the answer in a sentence, the deciding words of the letter, one line
//! per kind, the next steps, the caution. Formats only lay it out.

mod because;
mod lead;
mod quoted;

pub use because::because;

use super::{Report, days, words};
use crate::model::{Answer, DefectKind, KeyTwo, Kind, Paper, Verdict};
pub use quoted::{Quoted, Words, verbatim};
pub(crate) use quoted::{beside, deciding};

/// What is said where the letter does not say who may inspect.
pub(crate) const NO_CLAUSE: &str = "No clause of the letter says who may do it";

/// Whether the answer is in dispute, now or when the facts fit.
pub(crate) fn in_dispute(answer: &Answer) -> bool {
    answer.answer == Verdict::Disputed
        || answer.answer == Verdict::Undetermined && answer.if_met == Verdict::Disputed
}

/// The first screen, without layout.
#[derive(Clone, Debug, PartialEq)]
pub struct FirstScreen {
    /// The answer: who can sign, who is in dispute, who is open.
    pub lead: String,
    /// What paper it is.
    pub title: String,
    /// What was asked of it.
    pub question: String,
    /// The sentences of the letter that decide, the first two of them.
    pub quoted: Vec<Quoted>,
    /// How many more clauses speak of the inspection.
    pub more: usize,
    /// One row per kind; kinds that hardly anybody asks about share one where they are answered
    /// alike.
    pub rows: Vec<Row>,
    /// What to do: a label and a sentence each, at most three beside warnings.
    pub todo: Vec<(&'static str, String)>,
    /// In a dispute on light-sport repairmen, a line for each side: who, what, since when, grade.
    pub positions: Vec<String>,
    /// At most three cautions, chosen for this letter.
    pub cautions: Vec<String>,
}

/// Kinds and their answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The kinds; never empty.
    pub kinds: Vec<Kind>,
    /// Their name for a table.
    pub name: String,
    /// The answer.
    pub verdict: Verdict,
    /// What stands behind the word of the answer: "if you own it", "not in the list".
    pub because: String,
    /// Indexes of the clauses.
    pub clauses: Vec<usize>,
    /// Ids of the clauses, `-` where no clause speaks.
    pub clause: String,
}

impl FirstScreen {
    /// Draws up the first screen of a report.
    #[must_use]
    pub fn of(report: &Report<'_>) -> Self {
        let (quoted, more) = quoted::of(report);
        Self {
            lead: lead::lead(report),
            title: title(report),
            question: question(report),
            quoted,
            more,
            rows: rows(report),
            todo: todo(report),
            positions: positions(report),
            cautions: report.cautions(),
        }
    }

    /// The row of that kind.
    #[must_use]
    pub fn row(&self, kind: Kind) -> Option<&Row> {
        self.rows.iter().find(|r| r.kinds.contains(&kind))
    }
}

/// The first position that says no and the first that says yes, where the words of the letter are
/// in dispute.
fn positions(report: &Report<'_>) -> Vec<String> {
    let readings = || {
        report
            .answers
            .iter()
            .filter(|a| a.if_met == Verdict::Disputed)
            .flat_map(|a| &a.readings)
            .filter(|r| !r.later_than_day)
    };
    let first = |no: bool| {
        readings()
            .find(|r| (r.answer == Verdict::No) == no && r.line.is_some())
            .and_then(|r| r.line.as_deref().map(days::told))
    };
    let sides: Vec<String> = [first(true), first(false)].into_iter().flatten().collect();
    if sides.len() == 2 { sides } else { Vec::new() }
}

fn title(report: &Report<'_>) -> String {
    let letter = report.letter;
    let paper = match letter.paper {
        Paper::OperatingLimitations => "Operating limitations",
        Paper::Clause => "Judged on this clause alone",
        Paper::LightSportCategory => {
            return "Light-sport CATEGORY aircraft: no experimental certificate, so a rule says who \
                    may inspect"
                .to_owned();
        }
        Paper::Certificate => {
            return "This is an airworthiness certificate (FAA Form 8130-7) without the operating \
                    limitations that belong to it"
                .to_owned();
        }
        Paper::AirmanCertificate => return "This is a person's certificate, no letter".to_owned(),
        Paper::Registration => return "This is a registration, no letter".to_owned(),
        Paper::Unknown => {
            return "This does not look like the operating limitations of a US aircraft".to_owned();
        }
        Paper::Other(_) => {
            let like = crate::answer::paper_looks_like(letter.paper).unwrap_or_default();
            let like = like.split(';').next().unwrap_or_default();
            return format!("This does not look like operating limitations, but like {like}");
        }
    };
    let basis = match (letter.basis.value, report.question.basis) {
        (Some(basis), _) => format!("{}, § 21.191{basis}", words::basis(basis)),
        (None, Some(basis)) => format!("{}, § 21.191{basis} as you say", words::basis(basis)),
        (None, None) => "purpose not found".to_owned(),
    };
    let issued = match (letter.issued.value, report.question.issued) {
        (Some(day), _) => format!("issued {}", days::day(day)),
        (None, Some(day)) => format!("issued {} as you say", days::day(day)),
        (None, None) => "date of issue not found".to_owned(),
    };
    format!("{paper}: {basis}; {issued}")
}

fn question(report: &Report<'_>) -> String {
    let inspection = words::inspection(report.question.inspection);
    let who = report.question.holder.map_or_else(
        || "Who may sign".to_owned(),
        |kind| format!("May {} sign", words::kind_in_sentence(kind)),
    );
    let on = days::day(report.question.on);
    format!("{who} the {inspection} on {on}?")
}

/// Kinds that share a row where their answers are the same, with the name of the row.
const TOGETHER: [(&[Kind], &str); 2] = [
    (
        &[
            Kind::LightSportRepairmanInspection,
            Kind::LightSportRepairmanMaintenance,
        ],
        "Light-sport repairman, both ratings",
    ),
    (
        &[Kind::GeneralRepairman, Kind::Manufacturer, Kind::Owner],
        "Owner without a certificate, manufacturer, shop repairman",
    ),
];

fn rows(report: &Report<'_>) -> Vec<Row> {
    let mut rows: Vec<Row> = report.answers.iter().map(|a| row(report, a)).collect();
    for (kinds, name) in TOGETHER {
        let of = |row: &&Row| row.kinds.iter().all(|k| kinds.contains(k));
        let alike: Vec<&Row> = rows.iter().filter(of).collect();
        let [first, rest @ ..] = alike.as_slice() else {
            continue;
        };
        let same = |row: &&Row| {
            row.verdict == first.verdict
                && row.because == first.because
                && row.clauses == first.clauses
        };
        if alike.len() != kinds.len() || !rest.iter().all(same) {
            continue;
        }
        let mut joined = (*first).clone();
        joined.kinds = kinds.to_vec();
        joined.name = name.to_owned();
        let at = rows.iter().position(|r| kinds.starts_with(&r.kinds));
        rows.retain(|r| !r.kinds.iter().all(|k| kinds.contains(k)));
        rows.insert(at.unwrap_or(rows.len()).min(rows.len()), joined);
    }
    rows
}

fn row(report: &Report<'_>, answer: &Answer) -> Row {
    let clauses = answer.letter.clauses.clone();
    let ids = report.view().ids(&clauses);
    Row {
        kinds: vec![answer.holder],
        name: words::holder_short(answer).to_owned(),
        verdict: answer.answer,
        because: because(report, answer),
        clause: if ids.is_empty() {
            "-".to_owned()
        } else {
            ids.join(", ")
        },
        clauses,
    }
}

fn todo(report: &Report<'_>) -> Vec<(&'static str, String)> {
    let letter = report.letter;
    let mut todo = out_of_time(report);
    if let Some(warning) = warning(report) {
        todo.push(("Look first", warning));
    }
    if !letter.paper.is_limitations() {
        let step = "hand in the operating limitations: the pages with numbered limitations that \
                    are attached to the special airworthiness certificate (FAA Form 8130-7).";
        todo.push(("What to do", step.to_owned()));
        return todo;
    }
    let any = |wanted: &dyn Fn(&Answer) -> bool| report.answers.iter().any(wanted);
    if any(&|a| a.letter.answer == KeyTwo::Unclear) {
        todo.push((
            "What to do",
            "ask the FAA office which words hold, before the work starts; `whomay request \
             LETTER` drafts the questions."
                .to_owned(),
        ));
    }
    if any(&|a| a.answer == Verdict::Yes) {
        todo.push((
            "Before the work",
            "look at the certificate of whoever signs; below is what has to stand on it."
                .to_owned(),
        ));
    }
    if any(&|a| {
        // where the letter itself is not clear, no fact about a person closes it
        a.answer == Verdict::Undetermined
            && a.if_met != Verdict::Undetermined
            && !a.settled_by.is_empty()
    }) {
        todo.push((
            "To close what is open",
            "say what you know (`whomay who LETTER --ask` asks for it).".to_owned(),
        ));
    }
    let disputed = report.answers.iter().filter(|a| in_dispute(a));
    let disputed: Vec<&Answer> = disputed.collect();
    if !disputed.is_empty() {
        todo.push(("To end the dispute", settle(&disputed)));
    }
    todo
}

/// A letter that is younger than the day asked about, or whose own term has run out.
fn out_of_time(report: &Report<'_>) -> Vec<(&'static str, String)> {
    let (letter, on) = (report.letter, report.question.on);
    if !letter.paper.is_letter() {
        return Vec::new();
    }
    let mut out = Vec::new();
    if let Some(day) = letter.term.value.filter(|day| *day < on) {
        out.push((
            "Look first",
            format!(
                "the paper's own term ran out on {}, before {}.",
                days::day(day),
                days::day(on)
            ),
        ));
    }
    let issued = report.question.issued.or(letter.issued.value);
    if let Some(day) = issued.filter(|day| *day > on) {
        out.push((
            "Look first",
            format!(
                "the letter is younger than the day asked about: issued {}, after {}.",
                days::day(day),
                days::day(on)
            ),
        ));
    } else if let Some(day) = letter.amended.value.filter(|day| *day > on) {
        out.push((
            "Look first",
            format!(
                "the amendment is younger than the day asked about: {}, after {}.",
                days::day(day),
                days::day(on)
            ),
        ));
    }
    out
}

/// What would settle a dispute: amended limitations, except where the rule is open.
fn settle(disputed: &[&Answer]) -> String {
    let by_rule: Vec<&Answer> = disputed
        .iter()
        .copied()
        .filter(|a| a.rule.unsettled)
        .collect();
    let amended =
        "ask for amended limitations that name the person (`whomay request LETTER` drafts it)";
    if by_rule.is_empty() {
        format!("{amended}.")
    } else if by_rule.len() == disputed.len() {
        "ask the FAA: the rule itself is open, and no amended letter settles it.".to_owned()
    } else {
        let tags: Vec<&str> = by_rule.iter().map(|a| words::kind_tag(a.holder)).collect();
        format!(
            "{amended}, save for the {}: there the rule is open.",
            words::list(&tags, "and")
        )
    }
}

/// The flaw of the letter that a reader has to know before anything else.
fn warning(report: &Report<'_>) -> Option<String> {
    let weighty = [
        DefectKind::Contradiction,
        DefectKind::MissingPage,
        DefectKind::DoubtfulWord,
        DefectKind::Cut,
    ];
    let unclear = report
        .answers
        .iter()
        .any(|a| a.letter.answer == KeyTwo::Unclear);
    weighty
        .iter()
        .filter(|kind| unclear || **kind == DefectKind::MissingPage)
        .find_map(|kind| report.letter.findings.iter().find(|d| d.kind() == *kind))
        .map(|defect| words::sentence(&super::clean::line(&report.defect(defect))))
}
