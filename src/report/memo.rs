//! The memo for a file: on two pages the question, the short answer, the clause word for word, the
//! authorities kind by kind, both sides of a dispute, and what would settle it. A word processor's
//! file and a page are made from the same blocks.

use super::blocks::{Block, Rows, bold, labelled, plain, without_commands};
use super::first::{self, FirstScreen, Row, Words, verbatim};
use super::{CAUTION, Report, asked, blocks, clean, days, docx, gaps, html, readings, why, words};
use crate::model::{Answer, ReadingApplied, Verdict};

/// Flaws of the letter that are named; the report has them all.
const FLAWS: usize = 5;

/// The heading, and the title of the file.
const TITLE: &str = "Memorandum: who may inspect under these operating limitations";

/// As a word processor's file.
///
/// # Errors
/// Where the file cannot be made.
pub fn docx(report: &Report<'_>) -> std::io::Result<Vec<u8>> {
    docx::file(TITLE, &memo(report))
}

/// As a page.
#[must_use]
pub fn html(report: &Report<'_>) -> String {
    html::page(TITLE, &html::div("memo", &blocks::body(&memo(report))))
}

/// The memo, part by part.
#[must_use]
pub fn memo(report: &Report<'_>) -> Vec<Block> {
    let first = FirstScreen::of(report);
    let mut out = vec![Block::Title(TITLE.to_owned())];
    out.extend(head(report, &first));
    out.push(Block::Heading("Question".to_owned()));
    out.push(Block::Para(plain(&first.question)));
    let facts = format!("Taken as given: {}", asked::asked(report.question));
    out.push(Block::Para(plain(&facts)));
    out.push(Block::Heading("Short answer".to_owned()));
    out.push(Block::Para(vec![bold(&first.lead)]));
    out.push(Block::Heading("The clause".to_owned()));
    out.extend(clauses(report, &first));
    if !first.rows.is_empty() {
        out.push(Block::Heading("Authorities".to_owned()));
        out.push(Block::Table(authorities(report, &first)));
    }
    out.extend(sides(report));
    out.extend(listed("What would settle it", settled(report, &first)));
    out.extend(listed("Questions of law", questions(report)));
    out.extend(listed("Limits of this memo", limits(report)));
    out
}

/// What the memo is about, and what made it.
fn head(report: &Report<'_>, first: &FirstScreen) -> Vec<Block> {
    let files: Vec<String> = report
        .text
        .sources
        .iter()
        .map(|source| {
            let name = source.name.rsplit(['/', '\\']).next();
            clean::line(name.unwrap_or(&source.name))
        })
        .collect();
    let made = format!(
        "whomay {}, from the words of the letter and the rules it holds; nobody has reviewed it. \
         {CAUTION}",
        env!("CARGO_PKG_VERSION")
    );
    vec![
        Block::Para(labelled("Letter", &words::sentence(&first.title))),
        Block::Para(labelled("Read from", &words::sentence(&files.join(", ")))),
        Block::Para(labelled("Made by", &made)),
    ]
}

/// The sentences that decide, as they stand in the letter.
fn clauses(report: &Report<'_>, first: &FirstScreen) -> Vec<Block> {
    let mut out = Vec::new();
    for quoted in &first.quoted {
        let Some(rule) = report.letter.inspectors.get(quoted.rule) else {
            continue;
        };
        let said = format!(
            "Clause {} ({}) {}:",
            quoted.clause, quoted.place, quoted.said
        );
        out.push(Block::Para(plain(&said)));
        let mut words = plain("\u{201c}");
        words.extend(verbatim(report, rule));
        words.extend(plain("\u{201d}"));
        out.push(Block::Quote(words));
    }
    let said = match (first.quoted.is_empty(), first.more) {
        (true, _) if report.letter.paper.is_limitations() => words::sentence(first::NO_CLAUSE),
        (true, _) => words::sentence(&first.title),
        (_, 0) => return out,
        (_, 1) => "One more clause speaks of it; the report quotes it.".to_owned(),
        (_, more) => format!("{more} more clauses speak of it; the report quotes them."),
    };
    out.push(Block::Para(plain(&said)));
    out
}

fn authorities(report: &Report<'_>, first: &FirstScreen) -> Rows {
    let rows = first
        .rows
        .iter()
        .filter_map(|row| Some(authority(report, row, of(report, row)?)))
        .collect();
    Rows {
        caption: "The rule and the letter, for each kind of person",
        head: vec!["Who", "Answer", "The rule", "The letter"],
        widths: vec![20, 18, 38, 24],
        rows,
    }
}

/// The answer that a row of the first screen stands for.
fn of<'a>(report: &Report<'a>, row: &Row) -> Option<&'a Answer> {
    let kind = row.kinds.first()?;
    report.answers.iter().find(|a| a.holder == *kind)
}

fn authority(report: &Report<'_>, row: &Row, answer: &Answer) -> Vec<Vec<Words>> {
    let mut said = vec![bold(words::verdict(row.verdict))];
    if !row.because.is_empty() {
        said.extend(plain(&format!(": {}", row.because)));
    }
    let keys = why::keys(report, answer);
    let rule = words::capital(&keys.rule.cited());
    let mut letter = words::capital(keys.letter.said);
    if let Some(clauses) = keys.letter.named(&report.view()) {
        letter.push_str(&format!(" ({clauses})"));
    }
    vec![plain(&row.name), said, plain(&rule), plain(&letter)]
}

/// Whether anybody's answer is in dispute, now or when the facts fit.
fn in_dispute(report: &Report<'_>) -> bool {
    report.answers.iter().any(first::in_dispute)
}

/// The reading that says no and the one that says yes, each with what speaks for and against it, and
/// who else holds one.
fn sides(report: &Report<'_>) -> Vec<Block> {
    if !in_dispute(report) {
        return Vec::new();
    }
    let held: Vec<&ReadingApplied> = readings::readings(report)
        .iter()
        .map(|reading| reading.applied)
        .filter(|r| !r.later_than_day)
        .collect();
    let of = |no: bool| {
        let of = |r: &&&ReadingApplied| (r.answer == Verdict::No) == no;
        held.iter()
            .filter(of)
            .find(|r| r.line.is_some())
            .or_else(|| held.iter().find(of))
            .copied()
    };
    let shown: Vec<&ReadingApplied> = [of(true), of(false)].into_iter().flatten().collect();
    if shown.is_empty() {
        return Vec::new();
    }
    let rows = shown.iter().map(|reading| {
        let since = days::told(&reading.since);
        let mut who = vec![bold(&words::capital(&reading.held_by))];
        if !since.is_empty() {
            who.extend(plain(&format!(", {since}")));
        }
        let told = |said: &str| words::capital(&words::sentence(&days::told(said)));
        let says = format!("{} {}", told(&reading.says), told(&reading.strength));
        vec![
            who,
            plain(says.trim()),
            plain(&told(&reading.support)),
            plain(&told(&reading.objection)),
        ]
    });
    let mut out = vec![
        Block::Heading("Both sides".to_owned()),
        Block::Table(Rows {
            caption: "The readings of the words in dispute",
            head: vec!["Held by", "Says", "For it", "Against it"],
            widths: vec![16, 28, 28, 28],
            rows: rows.collect(),
        }),
    ];
    let other = |r: &&&ReadingApplied| !shown.iter().any(|s| s.id == r.id);
    out.push(Block::Para(plain(
        &match held.iter().filter(other).count() {
            0 => return out,
            1 => "The report has one more reading.".to_owned(),
            more => format!("The report has {more} more readings."),
        },
    )));
    out
}

/// The facts that are open, and the steps that end a doubt or a dispute.
fn settled(report: &Report<'_>, first: &FirstScreen) -> Vec<String> {
    let mut out: Vec<String> = first
        .todo
        .iter()
        // What stands in other words below, or is done whatever the answer.
        .filter(|(label, _)| !["To close what is open", "Before the work"].contains(label))
        .map(|(label, said)| format!("{label}: {}", without_commands(said)))
        .chain(facts(report))
        .collect();
    if in_dispute(report) {
        out.push(report.patterns.statement.say("request-chief-counsel", &[]));
    }
    out
}

/// The facts that are open, each once, as it is asked of the person who would sign.
fn facts(report: &Report<'_>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for fact in report.answers.iter().flat_map(|a| &a.settled_by) {
        if let Some(question) = words::fact_question(fact) {
            let said = format!("A fact of the person who would sign: {question}");
            if !out.contains(&said) {
                out.push(said);
            }
        }
    }
    out
}

/// What the letter raises for an attorney.
fn questions(report: &Report<'_>) -> Vec<String> {
    if !report.letter.paper.is_letter() {
        return Vec::new();
    }
    let draft = crate::answer::request(
        report.letter,
        &report.text.content,
        report.question,
        report.answers,
        report.patterns,
    );
    draft.for_an_attorney
}

/// What is doubtful in the letter, and how far the sources carry.
fn limits(report: &Report<'_>) -> Vec<String> {
    let flaws = gaps::flaws(report);
    let mut out: Vec<String> = flaws.iter().take(FLAWS).map(|f| f.said.clone()).collect();
    if flaws.len() > FLAWS {
        let more = flaws.len() - FLAWS;
        out.push(format!(
            "Flaws of the paper that the report names too: {more}."
        ));
    }
    out.extend(gaps::notes(report));
    let mut grades: Vec<&str> = report
        .unverified()
        .iter()
        .map(|(_, source)| source.grade.as_str())
        .collect();
    grades.sort_unstable();
    grades.dedup();
    let told: Vec<String> = grades
        .iter()
        .map(|grade| format!("{grade} ({})", words::grade(grade)))
        .collect();
    if !told.is_empty() {
        out.push(format!(
            "Not verified are sources of grade {}; the report lists them.",
            words::list(&told, "and")
        ));
    }
    out
}

fn listed(heading: &str, items: Vec<String>) -> Vec<Block> {
    if items.is_empty() {
        return Vec::new();
    }
    vec![
        Block::Heading(heading.to_owned()),
        Block::List(items.iter().map(|item| plain(&days::told(item))).collect()),
    ]
}
