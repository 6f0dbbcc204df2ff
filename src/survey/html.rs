//! The page of a survey: the counts as charts and tables, the new wordings, the letters.

use std::collections::BTreeMap;

use super::plain;
use super::redact::promise;
use super::row::{Row, Standing};
use super::summary::{ByStanding, Summary};
use crate::model::{Kind, Question};
use crate::report::html::{self, Html, Table};
#[cfg(feature = "ocr")]
use crate::report::png;
use crate::report::{days, words};

/// Letters that a page lists; the other formats have them all.
pub const MOST_ROWS: usize = 5000;
/// Up to so many letters the page opens with them.
const GRID_FIRST: usize = 100;
/// Wordings that a page lists.
const MOST_WORDINGS: usize = 60;

/// The table of the letters, filled row by row.
#[derive(Debug)]
pub struct Letters {
    /// Who may sign, a word a cell.
    table: Table,
    /// What the letters are as papers.
    papers: Table,
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
        let mut head = vec!["Row".to_owned(), "File".to_owned()];
        head.extend(kinds.iter().map(|k| short(k.name())));
        head.push("Its list".to_owned());
        let head: Vec<&str> = head.iter().map(String::as_str).collect();
        Self {
            table: Table::new("One letter a row: who may sign", &head).quiet_caption(),
            papers: Table::new(
                "The letters as papers",
                &["Row", "Purpose, year", "Flaws and doubts"],
            )
            .quiet_caption(),
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
        let mut cells = vec![html::text(&row.row.to_string()), html::path(&row.file)];
        let letter = !matches!(row.form, Standing::NoLetter | Standing::Unreadable);
        for kind in &self.kinds {
            let answers = row.answers.iter().filter(|_| letter);
            let found = answers.into_iter().find(|a| a.kind == kind.name());
            cells.push(
                found
                    .and_then(|a| plain::verdict(&a.answer))
                    .map_or_else(|| html::text("-"), html::verdict),
            );
        }
        cells.push(html::text(list(row.form)));
        self.paper(row);
        self.table.row(cells);
    }

    /// The letter as a paper.
    fn paper(&mut self, row: &Row) {
        let number = html::text(&row.row.to_string());
        if let Some(error) = &row.error {
            let cells = [number, html::text("not read"), html::text(error)];
            return self.papers.row(cells);
        }
        let basis = row
            .basis
            .as_deref()
            .map_or_else(|| "purpose not told".to_owned(), plain::basis);
        let year = row
            .year
            .map_or_else(|| "no year".to_owned(), |y| y.to_string());
        let flaws: Vec<String> = row
            .defects
            .iter()
            .map(|d| plain::flaw(d))
            .chain(row.doubt.iter().map(|d| plain::doubt(d)))
            .collect();
        self.papers.row([
            number,
            html::text(&format!("{basis}, {year}")),
            html::text(&flaws.join("; ")),
        ]);
    }
}

/// What a letter says about its list, in few words. "Open" is an answer, and no word for a list.
const fn list(standing: Standing) -> &'static str {
    match standing {
        Standing::Open => "permits",
        Standing::Closed => "limits",
        Standing::Silent => "names nobody",
        Standing::Contradictory => "contradicts itself",
        Standing::Doubtful => "in doubt",
        Standing::LightSportCategory => "light-sport category",
        Standing::NoLetter => "no letter",
        Standing::Unreadable => "not read",
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
            days::day(question.on),
            summary.letters(),
            summary.of(Standing::NoLetter),
        )),
    ));
    let grid = grid(letters);
    let opens = letters.rows <= GRID_FIRST;
    if opens {
        body.push(&html::section("letters", "Letter by letter", &grid));
    }
    body.push(&html::section(
        "answers",
        "Who may sign, person by person",
        &kinds(summary),
    ));
    body.push(&html::section(
        "form",
        "What the letters say",
        &forms(summary),
    ));
    body.push(&html::section(
        "age",
        "What they say, by age and purpose",
        &[
            grouped(
                "Letters by decade of issue",
                "Issued",
                &decades(&summary.age),
            ),
            grouped("Letters by purpose", "Purpose", &purposes(summary)),
        ]
        .into_iter()
        .collect(),
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
        "papers",
        "The letters as papers",
        &letters.papers.html(),
    ));
    body.push(&html::section(
        "wordings",
        "Clauses on who may inspect",
        &wordings(summary),
    ));
    if !opens {
        body.push(&html::section("letters", "Letter by letter", &grid));
    }
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

/// The letters, and a word where the page does not list them all.
fn grid(letters: &Letters) -> Html {
    let mut rows = letters.table.html();
    if letters.rows > MOST_ROWS {
        rows.push(&html::p(&html::text(&format!(
            "The page lists the first {MOST_ROWS} of {} files; the CSV and JSON formats have all.",
            letters.rows
        ))));
    }
    rows
}

fn forms(summary: &Summary) -> Html {
    let mut table = Table::new(
        "Letters by what they say",
        &["Its list", "Letters", "Meaning"],
    )
    .numbers(&[1])
    .quiet_caption();
    for standing in Standing::ALL {
        table.row([
            html::text(list(standing)),
            html::text(&summary.of(standing).to_string()),
            html::text(standing.words()),
        ]);
    }
    table.html()
}

/// Every decade from the first to the last, those without a letter too.
fn decades(age: &BTreeMap<String, ByStanding>) -> Vec<(String, ByStanding)> {
    let year = |name: &str| name.strip_suffix('s').and_then(|y| y.parse::<i32>().ok());
    let years: Vec<i32> = age.keys().filter_map(|name| year(name)).collect();
    let mut all = Vec::new();
    if let (Some(first), Some(last)) = (years.iter().min(), years.iter().max()) {
        let mut decade = *first;
        while decade <= *last {
            let name = format!("{decade}s");
            let counts = age.get(&name).copied().unwrap_or_default();
            all.push((name, counts));
            decade += 10;
        }
    }
    let others = age.iter().filter(|(name, _)| year(name).is_none());
    all.extend(others.map(|(name, counts)| (name.clone(), *counts)));
    all
}

fn purposes(summary: &Summary) -> Vec<(String, ByStanding)> {
    let basis = |(name, counts): (&String, &ByStanding)| (plain::basis(name), *counts);
    summary.basis.iter().map(basis).collect()
}

fn grouped(title: &str, first: &str, groups: &[(String, ByStanding)]) -> Html {
    const FORMS: usize = Standing::OF_LETTERS;
    let columns = Standing::ALL.map(list);
    let rows: Vec<(String, Vec<u64>)> = groups
        .iter()
        .map(|(name, counts)| (name.clone(), counts.iter().take(FORMS).copied().collect()))
        .collect();
    html::stacked(title, first, &columns[..FORMS], &rows)
}

/// The answers of a stacked bar, in their order.
const ANSWERS: [&str; 6] = [
    "yes",
    "open; yes if all fits",
    "in dispute",
    "open; then in dispute",
    "open",
    "no",
];

/// The persons with their counts in the order of [`ANSWERS`].
fn by_person(summary: &Summary) -> Vec<(String, Vec<u64>)> {
    summary
        .kinds
        .iter()
        .map(|k| {
            let never = k.undetermined - k.open_yes - k.open_disputed;
            let counts = vec![k.yes, k.open_yes, k.disputed, k.open_disputed, never, k.no];
            (plain::kind(&k.kind), counts)
        })
        .collect()
}

fn kinds(summary: &Summary) -> Html {
    let mut out = html::stacked("Answers per person", "Who", &ANSWERS, &by_person(summary));
    out.push(&html::p(&html::text(
        "“If all fits”: facts that only the owner knows are missing; this is the \
         answer if all of them turn out well.",
    )));
    out
}

/// The chart for a newsletter: one stacked bar a person, as an SVG file.
#[must_use]
pub fn chart(summary: &Summary, question: &Question) -> String {
    let (title, under) = head_of_chart(summary, question);
    html::chart(&title, &under, &ANSWERS, &by_person(summary))
}

/// The same as a PNG file; none where it could not be drawn.
#[cfg(feature = "ocr")]
#[must_use]
pub fn picture(summary: &Summary, question: &Question) -> Option<Vec<u8>> {
    let (title, under) = head_of_chart(summary, question);
    png::chart(&title, &under, &ANSWERS, &by_person(summary))
}

/// The title of the chart, and what stands under it.
fn head_of_chart(summary: &Summary, question: &Question) -> (String, String) {
    let inspection = words::inspection(question.inspection);
    let under = format!(
        "{} letters, asked on {}",
        summary.letters(),
        days::day(question.on)
    );
    (format!("Who may sign the {inspection}?"), under)
}

/// A kind in few letters, for the head of a column.
fn short(kind: &str) -> String {
    match Kind::from_name(kind) {
        Some(Kind::LightSportRepairmanInspection) => "light-sport, insp.".to_owned(),
        Some(Kind::LightSportRepairmanMaintenance) => "light-sport, maint.".to_owned(),
        _ => plain::kind(kind),
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
        table.row(std::iter::once(html::text(&plain::kind(&k.kind))).chain(cells));
    }
    table.html()
}

fn quality(summary: &Summary) -> Html {
    let counts = |map: &BTreeMap<String, u64>| -> Vec<(String, Vec<u64>)> {
        map.iter().map(|(n, c)| (n.clone(), vec![*c])).collect()
    };
    let in_words = |map: &BTreeMap<String, u64>| -> Vec<(String, Vec<u64>)> {
        map.iter()
            .map(|(n, c)| (plain::flaw(n), vec![*c]))
            .collect()
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
            &in_words(&summary.defects),
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
