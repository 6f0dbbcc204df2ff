//! What the first screen says: one line per kind, what to do, the caution. Formats only lay it out.

use super::{Report, words};
use crate::model::{Answer, DefectKind, KeyTwo, Kind, OpenBecause, Paper, RuleAnswer, Verdict};

/// The first screen, without layout.
#[derive(Clone, Debug, PartialEq)]
pub struct FirstScreen {
    /// What paper it is.
    pub title: String,
    /// What was asked of it.
    pub question: String,
    /// One row per kind.
    pub rows: Vec<Row>,
    /// What to do: a label and a sentence each.
    pub todo: Vec<(&'static str, String)>,
    /// In a dispute on light-sport repairmen, a line for each side: who, what, since when, grade.
    pub positions: Vec<String>,
    /// At most three cautions, chosen for this letter.
    pub cautions: Vec<String>,
}

/// One kind and its answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The kind.
    pub kind: Kind,
    /// The answer.
    pub verdict: Verdict,
    /// What stands behind the word of the answer: "if you own it", "not in the list".
    pub because: String,
    /// Ids of the clauses, `-` where no clause speaks.
    pub clause: String,
}

impl FirstScreen {
    /// Draws up the first screen of a report.
    #[must_use]
    pub fn of(report: &Report<'_>) -> Self {
        Self {
            title: title(report),
            question: question(report),
            rows: report.answers.iter().map(|a| row(report, a)).collect(),
            todo: todo(report),
            positions: positions(report),
            cautions: report.cautions(),
        }
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
            .and_then(|r| r.line.clone())
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
        (Some(day), _) => format!("issued {day}"),
        (None, Some(day)) => format!("issued {day} as you say"),
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
    format!("{who} the {inspection} on {}?", report.question.on)
}

fn row(report: &Report<'_>, answer: &Answer) -> Row {
    let ids = report.view().ids(&answer.letter.clauses);
    Row {
        kind: answer.holder,
        verdict: answer.answer,
        because: because(report, answer),
        clause: if ids.is_empty() {
            "-".to_owned()
        } else {
            ids.join(", ")
        },
    }
}

/// What stands behind the word of the answer, short.
#[must_use]
pub fn because(report: &Report<'_>, answer: &Answer) -> String {
    let facts = || words::if_facts(&answer.settled_by, answer.holder, report.aircraft());
    match (answer.answer, answer.open_because) {
        (Verdict::Yes, _) => String::new(),
        (Verdict::No, _) => no_because(answer).to_owned(),
        (Verdict::Disputed, _) => disputed_because(answer).to_owned(),
        (Verdict::Undetermined, Some(OpenBecause::Fact)) => match answer.if_met {
            _ if answer.settled_by.is_empty() => "a fact is missing".to_owned(),
            Verdict::Undetermined => format!("not even clear if {}", facts()),
            met => format!("{}, if {}", words::verdict(met), facts()),
        },
        (Verdict::Undetermined, Some(OpenBecause::Law)) => "no rule found that decides".to_owned(),
        (Verdict::Undetermined, _) if !report.letter.paper.is_letter() => {
            "this paper cannot tell".to_owned()
        }
        (Verdict::Undetermined, _) => "the letter is not clear here".to_owned(),
    }
}

fn no_because(answer: &Answer) -> &'static str {
    match (answer.letter.answer, answer.rule.answer) {
        (KeyTwo::Excluded, _) => "the letter shuts it out",
        (_, RuleAnswer::No) => "no rule gives the right",
        (KeyTwo::ShutOut, _) => "the letter limits it to others",
        _ => "",
    }
}

fn disputed_because(answer: &Answer) -> &'static str {
    match (answer.letter.answer, answer.rule.answer) {
        (KeyTwo::Unlisted, RuleAnswer::Open) => "not listed, rule open",
        (KeyTwo::Unlisted, _) => "not in its list",
        (KeyTwo::Generic, _) => "a general term",
        (_, RuleAnswer::Open) => "the rule is unsettled",
        (KeyTwo::Silent, _) => "the letter names nobody",
        _ => "",
    }
}

fn todo(report: &Report<'_>) -> Vec<(&'static str, String)> {
    let mut todo = Vec::new();
    todo.extend(out_of_time(report));
    if let Some(warning) = warning(report) {
        todo.push(("Look first", warning));
    }
    let of = |wanted: &dyn Fn(&Answer) -> bool| -> Vec<&Answer> {
        report.answers.iter().filter(|a| wanted(a)).collect()
    };
    let yes = of(&|a| a.answer == Verdict::Yes);
    let open_yes = of(&|a| a.answer == Verdict::Undetermined && a.if_met == Verdict::Yes);
    let disputed = of(&|a| a.answer == Verdict::Disputed);
    let open_disputed = of(&|a| a.answer == Verdict::Undetermined && a.if_met == Verdict::Disputed);

    if !yes.is_empty() {
        todo.push(("Without doubt", format!("{}.", names(&yes, "or"))));
    } else if report.question.holder.is_none() && report.letter.paper.is_letter() {
        todo.push((
            "Without doubt",
            "nobody, as far as this letter and these facts go.".to_owned(),
        ));
    }
    if !open_yes.is_empty() {
        todo.push((
            "If the facts fit",
            format!(
                "{} (`whomay who LETTER --ask` asks).",
                names(&open_yes, "or")
            ),
        ));
    }
    if !disputed.is_empty() || !open_disputed.is_empty() {
        let mut both = disputed.clone();
        both.extend(&open_disputed);
        todo.push(("In dispute", settle(&both, &open_disputed)));
    }
    if report
        .answers
        .iter()
        .any(|a| a.letter.answer == KeyTwo::Unclear)
        && report.letter.paper.is_letter()
    {
        todo.push((
            "What to do",
            "ask the FAA office which words hold, before the work starts; `whomay request \
             LETTER` drafts the questions."
                .to_owned(),
        ));
    }
    if !report.letter.paper.is_letter() && report.letter.paper != Paper::LightSportCategory {
        todo.push((
            "What to do",
            "hand in the operating limitations: the pages with numbered limitations that are \
             attached to the special airworthiness certificate (FAA Form 8130-7)."
                .to_owned(),
        ));
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
            format!("the paper's own term ran out on {day}, before {on}."),
        ));
    }
    let issued = report.question.issued.or(letter.issued.value);
    if let Some(day) = issued.filter(|day| *day > on) {
        out.push((
            "Look first",
            format!("the letter is younger than the day asked about: issued {day}, after {on}."),
        ));
    } else if let Some(day) = letter.amended.value.filter(|day| *day > on) {
        out.push((
            "Look first",
            format!("the amendment is younger than the day asked about: {day}, after {on}."),
        ));
    }
    out
}

/// The kinds in a sentence; the two ratings of a light-sport repairman as one.
fn names(answers: &[&Answer], and: &str) -> String {
    let light_sport = |a: &Answer| {
        matches!(
            a.holder,
            Kind::LightSportRepairmanInspection | Kind::LightSportRepairmanMaintenance
        )
    };
    let both_ratings = answers.iter().filter(|a| light_sport(a)).count() > 1;
    let mut names: Vec<&str> = Vec::new();
    for answer in answers {
        let name = if both_ratings && light_sport(answer) {
            "a light-sport repairman"
        } else {
            words::kind_in_sentence(answer.holder)
        };
        if !names.contains(&name) {
            names.push(name);
        }
    }
    words::list(&names, and)
}

/// What is in dispute, and what would settle it.
fn settle(both: &[&Answer], open: &[&Answer]) -> String {
    let mut said = names(both, "and");
    if open.len() == both.len() {
        said.push_str(", even if the facts fit");
    }
    let by_rule: Vec<&Answer> = both.iter().copied().filter(|a| a.rule.unsettled).collect();
    if by_rule.is_empty() {
        said.push_str(
            ". Amended limitations that name them would settle it (`whomay request LETTER`).",
        );
    } else if by_rule.len() == both.len() {
        said.push_str(". The rule itself is unsettled; no amended letter settles it: ask the FAA.");
    } else {
        let tags: Vec<&str> = by_rule.iter().map(|a| words::kind_tag(a.holder)).collect();
        said.push_str(&format!(
            ". Amended limitations would settle it (`whomay request LETTER`), save for the {}: there the rule is open.",
            words::list(&tags, "and")
        ));
    }
    said
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
        .find_map(|kind| report.letter.condition.iter().find(|d| d.kind == *kind))
        .map(|defect| words::sentence(&super::clean::line(&defect.message)))
}
