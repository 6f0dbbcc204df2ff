//! Many letters at once: a survey of what was handed over.
//!
//! The letters stay in memory; nothing of them becomes a file.

use std::sync::Arc;

use super::state::AppState;
use super::upload::Given;
use crate::model::{Kind, Question};
use crate::read::{Limits, Stop};
use crate::report::html::Html;
use crate::survey::{At, Entry, Options, Summary, Survey, csv, html};

/// What came of a survey.
#[derive(Debug)]
pub(super) struct Surveyed {
    pub(super) title: String,
    /// Body of the page.
    pub(super) body: Html,
    /// The page to take along.
    pub(super) page: String,
    /// The rows for a spreadsheet.
    pub(super) csv: String,
}

impl Surveyed {
    pub(super) fn of(
        files: Vec<Given>,
        app: &AppState,
        stop: &Stop,
        tell: &dyn Fn(u32, u32),
    ) -> Result<Self, String> {
        let entries: Vec<Entry> = files
            .into_iter()
            .map(|(name, bytes)| Entry {
                name,
                at: At::Held(Arc::new(bytes)),
            })
            .collect();
        let question = Question::on((app.today)());
        let options = Options {
            question: question.clone(),
            identify: false,
            anonymous: false,
            threads: 1,
            limits: Limits {
                pictures: 0,
                stop: Some(stop.clone()),
                ..app.limits.clone()
            },
        };
        let all = u32::try_from(entries.len()).unwrap_or(u32::MAX);
        let mut done = 0;
        let mut summary = Summary::default();
        let mut letters = html::Letters::new(&Kind::HOLDERS);
        let broken = |e: ::csv::Error| e.to_string();
        let mut rows = csv::head(&Kind::HOLDERS).map_err(broken)?;
        tell(0, all);
        Survey::new(options, None, &app.patterns)
            .run(&entries, 0, |row| {
                if stop.is_set() {
                    return Err(std::io::Error::other("it was forgotten").into());
                }
                summary.add(&row);
                letters.add(&row);
                rows.push_str(&csv::row(&row, &Kind::HOLDERS)?);
                done += 1;
                tell(done, all);
                Ok(())
            })
            .map_err(broken)?;
        Ok(Self {
            title: html::page_title(&summary),
            body: html::body(&summary, &question, &letters, false),
            page: html::page(&summary, &question, &letters, false),
            csv: rows,
        })
    }

    /// Bytes that it takes, roughly.
    pub(super) fn size(&self) -> usize {
        2 * self.page.len() + self.csv.len()
    }
}
