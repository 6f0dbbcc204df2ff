//! The page of a survey: the counts as charts and tables, the new wordings, the letters.

use std::collections::BTreeMap;

use super::redact::promise;
use super::row::{Row, Standing};
use super::summary::{ByStanding, Summary};
use crate::model::{Kind, Question};
use crate::report::html::{self, Html, Table};
use crate::report::words;

/// Letters that a page lists; the other formats have them all.
pub const MOST_ROWS: usize = 5000;
/// Wordings that a page lists.
const MOST_WORDINGS: usize = 60;

/// The table of the letters, filled row by row.
#[derive(Debug)]
pub struct Letters {
    table: Table,
    kinds: Vec<Kind>,
    rows: usize,
}

impl Letters {
    /// An empty table for these kinds.
    #[must_use]
    pub fn new(kinds: &[Kind]) -> Self {
        let kinds: Vec<Kind> = kinds
            .iter()
            .copied()
            .filter(|k| {
                kinds.len() == 1
                    || !matches!(k, Kind::GeneralRepairman | Kind::Manufacturer | Kind::Owner)
            })
            .collect();
        let head = ["Row", "File", "What it says", "Who may", "Flaws and doubts"];
        Self {
            table: Table::new("One letter a row", &head).quiet_caption(),
            kinds,
            rows: 0,
        }
    }

    /// Adds a letter.
    pub fn add(&mut self, row: &Row) {
        self.rows += 1;
        if self.rows > MOST_ROWS {
            return;
        }
        let said = if let Some(error) = &row.error {
            [html::strong("not read:"), html::piece(&format!(" {error}"))]
                .into_iter()
                .collect()
        } else {
            let basis = row
                .basis
                .as_ref()
                .map_or_else(|| "basis not told".to_owned(), |b| format!("({b})"));
            let year = row
                .year
                .map_or_else(|| "no year".to_owned(), |y| y.to_string());
            html::text(&format!("{}; {basis}, {year}", row.form.name()))
        };
        let flaws: Vec<&str> = row
            .defects
            .iter()
            .chain(&row.doubt)
            .map(String::as_str)
            .collect();
        self.table.row([
            html::text(&row.row.to_string()),
            html::path(&row.file),
            said,
            self.answers(row),
            html::small(&flaws.join(", ")),
        ]);
    }

    /// The kinds by their answers: `yes: builder, mechanic; in dispute: repair station`.
    fn answers(&self, row: &Row) -> Html {
        let mut groups: Vec<(String, Vec<&str>)> = Vec::new();
        for kind in &self.kinds {
            let Some(answer) = row.answers.iter().find(|a| a.kind == kind.name()) else {
                continue;
            };
            let said = match (answer.answer.as_str(), answer.if_met.as_str()) {
                ("undetermined", "undetermined") => "open".to_owned(),
                ("undetermined", met) => format!("open, {} if all facts fit", said(met)),
                (answer, _) => said(answer).to_owned(),
            };
            match groups.iter_mut().find(|(s, _)| *s == said) {
                Some((_, kinds)) => kinds.push(words::kind_tag(*kind)),
                None => groups.push((said, vec![words::kind_tag(*kind)])),
            }
        }
        let mut out = Html::new();
        for (n, (said, kinds)) in groups.iter().enumerate() {
            if n > 0 {
                out.push(&html::piece("; "));
            }
            out.push(&html::strong(&format!("{said}:")));
            out.push(&html::piece(&format!(" {}", kinds.join(", "))));
        }
        out
    }
}

fn said(answer: &str) -> &str {
    match answer {
        "disputed" => "in dispute",
        "undetermined" => "open",
        other => other,
    }
}

/// The whole page.
#[must_use]
pub fn page(summary: &Summary, question: &Question, letters: &Letters, identify: bool) -> String {
    let body = body(summary, question, letters, identify);
    html::page(&page_title(summary), &body)
}

/// What the page is called.
#[must_use]
pub fn page_title(summary: &Summary) -> String {
    format!("{} files surveyed", summary.rows)
}

/// The body of [`page`], for a page that has more on it.
#[must_use]
pub fn body(summary: &Summary, question: &Question, letters: &Letters, identify: bool) -> Html {
    let inspection = words::inspection(question.inspection);
    let unreadable = summary.of(Standing::Unreadable);
    let mut body = Html::new();
    body.push(&html::heading(1, &page_title(summary)));
    body.push(&html::classed(
        "lead",
        &html::text(&format!(
            "Who may sign the {inspection} on {}? Letters of operating limitations read: {}; \
             files that are something else: {}; files that could not be read: {unreadable}.",
            question.on,
            summary.letters(),
            summary.of(Standing::NoLetter),
        )),
    ));
    body.push(&html::section(
        "form",
        "What the letters say",
        &forms(summary),
    ));
    body.push(&html::section(
        "age",
        "Form by age and basis",
        &[
            grouped("Form by decade of issue", "Issued", &summary.age),
            grouped("Form by basis (§ 21.191)", "Basis", &summary.basis),
        ]
        .into_iter()
        .collect(),
    ));
    body.push(&html::section(
        "answers",
        "Answers per kind",
        &kinds(summary),
    ));
    body.push(&html::section(
        "amend",
        "Who would need amended limitations",
        &amend(summary),
    ));
    body.push(&html::section(
        "reading",
        "Reading quality and flaws",
        &quality(summary),
    ));
    body.push(&html::section(
        "wordings",
        "Clauses on who may inspect",
        &wordings(summary),
    ));
    let mut rows = letters.table.html();
    if letters.rows > MOST_ROWS {
        rows.push(&html::p(&html::text(&format!(
            "The page lists the first {MOST_ROWS} of {} files; the CSV and JSON formats have all.",
            letters.rows
        ))));
    }
    body.push(&html::section("letters", "The letters", &rows));
    body.push(&html::section(
        "privacy",
        if identify {
            "What was kept"
        } else {
            "What was left out"
        },
        &html::p(&html::text(promise(identify))),
    ));
    body
}

fn forms(summary: &Summary) -> Html {
    let mut table = Table::new("Letters by what they say", &["Form", "Letters", "Meaning"])
        .numbers(&[1])
        .quiet_caption();
    for standing in Standing::ALL {
        table.row([
            html::text(standing.name()),
            html::text(&summary.of(standing).to_string()),
            html::text(standing.words()),
        ]);
    }
    table.html()
}

fn grouped(title: &str, first: &str, groups: &BTreeMap<String, ByStanding>) -> Html {
    const FORMS: usize = Standing::OF_LETTERS;
    let columns = Standing::ALL.map(|standing| match standing {
        Standing::LightSportCategory => "light-sport cat.",
        other => other.name(),
    });
    let rows: Vec<(String, Vec<u64>)> = groups
        .iter()
        .map(|(name, counts)| (name.clone(), counts.iter().take(FORMS).copied().collect()))
        .collect();
    html::bars(title, first, &columns[..FORMS], &rows)
}

fn title(kind: &str) -> String {
    Kind::from_name(kind).map_or_else(|| kind.to_owned(), |k| words::kind_tag(k).to_owned())
}

fn kinds(summary: &Summary) -> Html {
    let rows: Vec<(String, Vec<u64>)> = summary
        .kinds
        .iter()
        .map(|k| {
            let never = k.undetermined - k.open_yes - k.open_disputed;
            let counts = vec![k.yes, k.open_yes, k.disputed, k.open_disputed, never, k.no];
            (short(&k.kind), counts)
        })
        .collect();
    let mut out = html::bars(
        "Answers per kind",
        "Kind",
        &[
            "yes",
            "open, then yes",
            "in dispute",
            "open, disputed",
            "open",
            "no",
        ],
        &rows,
    );
    out.push(&html::p(&html::text(
        "“Open, then yes” and “open, disputed”: facts that only the owner knows are missing; this \
         is the answer if all of them turn out well.",
    )));
    out
}

/// A kind in few letters, for the chart.
fn short(kind: &str) -> String {
    match Kind::from_name(kind) {
        Some(Kind::LightSportRepairmanInspection) => "light-sport, insp.".to_owned(),
        Some(Kind::LightSportRepairmanMaintenance) => "light-sport, maint.".to_owned(),
        Some(Kind::GeneralRepairman) => "shop repairman".to_owned(),
        _ => title(kind),
    }
}

fn amend(summary: &Summary) -> Html {
    let mut table = Table::new(
        "Letters that would need amended limitations for a kind to inspect",
        &[
            "Kind",
            "Under the strictest reading",
            "Under the open reading too",
            "Need none",
            "No amendment helps",
            "Words do not tell",
        ],
    )
    .numbers(&[1, 2, 3, 4, 5]);
    for k in &summary.kinds {
        let numbers = [k.strict, k.always, k.never, k.useless, k.unknown];
        let cells = numbers.iter().map(|n| html::text(&n.to_string()));
        table.row(std::iter::once(html::text(&title(&k.kind))).chain(cells));
    }
    table.html()
}

fn quality(summary: &Summary) -> Html {
    let counts = |map: &BTreeMap<String, u64>| -> Vec<(String, Vec<u64>)> {
        map.iter().map(|(n, c)| (n.clone(), vec![*c])).collect()
    };
    let mut out = html::bars(
        "How the files were read",
        "Read as",
        &["files"],
        &counts(&summary.reading),
    );
    if !summary.defects.is_empty() {
        out.push(&html::bars(
            "Letters with a flaw",
            "Flaw",
            &["letters"],
            &counts(&summary.defects),
        ));
    }
    out
}

fn wordings(summary: &Summary) -> Html {
    let clusters = summary.clusters.clusters();
    let known: u64 = summary.clusters.known().values().sum();
    let mut out = html::p(&html::text(&format!(
        "{known} letters follow a reference wording. The others are worded in {} ways that are \
         new to this program.",
        clusters.len()
    )));
    let mut table = Table::new("Wordings that are new", &["Letters", "Form", "Words"])
        .numbers(&[0])
        .quiet_caption();
    for cluster in clusters.iter().take(MOST_WORDINGS) {
        let rows: Vec<String> = cluster.rows.iter().map(u64::to_string).collect();
        let more = if cluster.letters > cluster.rows.len() as u64 {
            " and more"
        } else {
            ""
        };
        let near = cluster.near.as_deref().map_or_else(
            || "no reference is near".to_owned(),
            |n| format!("nearest reference: {n}"),
        );
        let head = if rows.len() == 1 { "row" } else { "rows" };
        let aside = format!("{head} {}{more}; {near}", rows.join(", "));
        table.row([
            html::text(&cluster.letters.to_string()),
            html::text(&cluster.form),
            [
                html::text(&cluster.words),
                html::piece(" "),
                html::small(&aside),
            ]
            .into_iter()
            .collect(),
        ]);
    }
    if !clusters.is_empty() {
        out.push(&table.html());
    }
    out
}
