//! The summary for the terminal.

use std::collections::BTreeMap;

use unicode_width::UnicodeWidthStr;

use super::{MEASURE, NARROWEST, form, legend};
use crate::model::{Kind, Question};
use crate::report::{CAUTION, clean, days, words};
use crate::survey::plain;
use crate::survey::redact::promise;
use crate::survey::row::Standing;
use crate::survey::summary::{ByStanding, Summary};

const FORMS: usize = Standing::OF_LETTERS;
/// Wordings that are shown; JSON has them all.
const WORDINGS: usize = 12;
/// Columns of a number in a list.
const NUMBER: usize = 7;

/// The legend of the table, and the summary.
#[must_use]
pub fn summary(
    summary: &Summary,
    question: &Question,
    wanted: Option<Kind>,
    width: usize,
    identify: bool,
) -> String {
    let mut page = Page {
        out: String::new(),
        width: width.clamp(NARROWEST, MEASURE),
    };
    page.title(&legend(wanted));
    let inspection = words::inspection(question.inspection);
    page.title(&format!(
        "{} files on {}: who may sign the {inspection}?",
        summary.rows,
        days::day(question.on)
    ));
    for standing in Standing::ALL {
        let n = summary.of(standing);
        if n > 0 || standing == Standing::Unreadable {
            page.line(n, &format!("{}: {}", standing.name(), standing.words()));
        }
    }
    page.forms("By age", &summary.age);
    page.forms("By basis (paragraph of § 21.191)", &summary.basis);
    page.kinds(summary);
    page.list("Wording comes from", &summary.wording, str::to_owned);
    page.list("Read as", &summary.reading, str::to_owned);
    page.list("Letters with a flaw", &summary.defects, plain::flaw);
    page.wordings(summary);
    page.title(promise(identify));
    page.wrapped(CAUTION, "", "");
    page.out
}

struct Page {
    out: String,
    width: usize,
}

impl Page {
    fn wrapped(&mut self, words: &str, first: &str, further: &str) {
        let options = textwrap::Options::new(self.width)
            .initial_indent(first)
            .subsequent_indent(further);
        self.out.push_str(&textwrap::fill(words, options));
        self.out.push('\n');
    }

    fn title(&mut self, words: &str) {
        self.out.push('\n');
        self.wrapped(words, "", "");
    }

    /// A number and what it counts.
    fn line(&mut self, n: u64, words: &str) {
        let first = format!("{n:>NUMBER$}  ");
        self.wrapped(words, &first, &" ".repeat(NUMBER + 2));
    }

    fn list(&mut self, title: &str, counts: &BTreeMap<String, u64>, said: fn(&str) -> String) {
        if counts.is_empty() {
            return;
        }
        self.title(title);
        for (name, n) in counts {
            self.line(*n, &clean::line(&said(name)));
        }
    }

    /// Numbers in rows and columns; in sentences where the terminal is too narrow for columns.
    fn grid(&mut self, title: &str, columns: &[&str], rows: &[(String, Vec<u64>)]) {
        if rows.is_empty() {
            return;
        }
        self.title(title);
        let names = rows.iter().map(|(name, _)| name.width()).max().unwrap_or(0);
        let wide: Vec<usize> = columns.iter().map(|c| c.width().max(NUMBER - 1)).collect();
        let all = 2 + names + wide.iter().map(|w| w + 2).sum::<usize>();
        if all > self.width {
            for (name, counts) in rows {
                let parts: Vec<String> = columns
                    .iter()
                    .zip(counts)
                    .filter(|(_, n)| **n > 0)
                    .map(|(column, n)| format!("{column} {n}"))
                    .collect();
                self.wrapped(&format!("{name}: {}", parts.join(", ")), "  ", "    ");
            }
            return;
        }
        let mut head = format!("  {}", " ".repeat(names));
        for (column, wide) in columns.iter().zip(&wide) {
            head.push_str(&format!("  {column:>wide$}"));
        }
        self.out.push_str(&head);
        self.out.push('\n');
        for (name, counts) in rows {
            let mut line = format!("  {name}{}", " ".repeat(names - name.width()));
            for (n, wide) in counts.iter().zip(&wide) {
                line.push_str(&format!("  {n:>wide$}"));
            }
            self.out.push_str(&line);
            self.out.push('\n');
        }
    }

    fn forms(&mut self, title: &str, groups: &BTreeMap<String, ByStanding>) {
        let columns: Vec<&str> = Standing::ALL.into_iter().take(FORMS).map(form).collect();
        let rows: Vec<(String, Vec<u64>)> = groups
            .iter()
            .map(|(name, counts)| {
                let counts = counts.iter().take(FORMS).copied().collect();
                (clean::line(name), counts)
            })
            .collect();
        self.grid(title, &columns, &rows);
    }

    fn kinds(&mut self, summary: &Summary) {
        let name = |kind: &str| {
            Kind::from_name(kind).map_or_else(|| kind.to_owned(), |k| short_kind(k).to_owned())
        };
        let rows = summary.kinds.iter().map(|k| {
            let counts = [
                k.yes,
                k.no,
                k.disputed,
                k.undetermined,
                k.open_yes,
                k.open_disputed,
            ];
            (name(&k.kind), counts.to_vec())
        });
        self.grid(
            "Answers per kind (if:y and if:d are a part of open)",
            &["yes", "no", "disp", "open", "if:y", "if:d"],
            &rows.collect::<Vec<_>>(),
        );
        let rows = summary.kinds.iter().map(|k| {
            let counts = [k.strict, k.always, k.never, k.useless, k.unknown];
            (name(&k.kind), counts.to_vec())
        });
        self.grid(
            "Letters to be amended before this kind may sign: under the strictest reading; under \
             the open one, too; under none. No use: no rule gives this kind the right.",
            &["strictest", "open too", "none", "no use", "not told"],
            &rows.collect::<Vec<_>>(),
        );
    }

    fn wordings(&mut self, summary: &Summary) {
        let clusters = summary.clusters.clusters();
        let known: u64 = summary.clusters.known().values().sum();
        let inside: u64 = clusters.iter().map(|c| c.letters).sum();
        let new = inside + summary.clusters.more();
        if known + new == 0 {
            return;
        }
        self.title("Clauses on who may inspect");
        self.line(known, "follow a reference wording");
        self.line(new, &format!("follow none, in {} wordings", clusters.len()));
        for cluster in clusters.iter().take(WORDINGS) {
            let near = cluster
                .near
                .as_deref()
                .map_or_else(String::new, |n| format!(" (nearest: {n})"));
            let letters = match cluster.letters {
                1 => "1 letter,".to_owned(),
                n => format!("{n} letters, such as"),
            };
            let words = format!(
                "{letters} row {}, {}{near}: «{}»",
                cluster.rows.first().copied().unwrap_or_default(),
                cluster.form,
                clean::line(&cluster.words)
            );
            self.wrapped(&words, "  - ", "    ");
        }
        if clusters.len() > WORDINGS {
            let more = clusters.len() - WORDINGS;
            self.wrapped(
                &format!("and {more} more; --format json has all"),
                "  ",
                "    ",
            );
        }
    }
}

const fn short_kind(kind: Kind) -> &'static str {
    match kind {
        Kind::BuilderRepairman => "builder",
        Kind::Mechanic => "mechanic",
        Kind::RepairStation => "repair station",
        Kind::LightSportRepairmanInspection => "light-sport insp.",
        Kind::LightSportRepairmanMaintenance => "light-sport maint.",
        Kind::GeneralRepairman => "repairman of a shop",
        Kind::Manufacturer => "manufacturer",
        Kind::Owner => "owner, uncertificated",
        other => other.title(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_columns_where_they_fit_and_sentences_where_not() {
        let rows = [
            ("1990s".to_owned(), vec![3, 0]),
            ("2000s".to_owned(), vec![11, 400]),
        ];
        let mut page = Page {
            out: String::new(),
            width: 40,
        };
        page.grid("By age", &["open", "closed"], &rows);
        assert_eq!(
            page.out,
            "\nBy age\n           open  closed\n  1990s       3       0\n  2000s      11     400\n"
        );
        let mut page = Page {
            out: String::new(),
            width: 22,
        };
        page.grid("By age", &["open", "closed"], &rows);
        assert_eq!(
            page.out,
            "\nBy age\n  1990s: open 3\n  2000s: open 11,\n    closed 400\n"
        );
    }
}
