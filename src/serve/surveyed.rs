//! Many letters at once: a survey of what was handed over.
//!
//! The survey reads from files, so they are laid into a folder that only this user can look into and
//! that is emptied when the survey is done, and taken away when the program ends.

use super::House;
use super::upload::Given;
use crate::model::{Kind, Question};
use crate::read::Limits;
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
        house: &House,
        tell: &dyn Fn(u32, u32),
    ) -> Result<Self, String> {
        let failed = |_| {
            "No private folder could be made for the letters. Look whether the disk is full."
                .to_owned()
        };
        let folder = tempfile::Builder::new()
            .prefix("survey-")
            .tempdir_in(&house.folder)
            .map_err(failed)?;
        let mut entries = Vec::with_capacity(files.len());
        for (n, (name, bytes)) in files.into_iter().enumerate() {
            // the name is the reader's; the file has one of our own
            let path = folder.path().join(n.to_string());
            std::fs::write(&path, bytes).map_err(failed)?;
            entries.push(Entry {
                name,
                at: At::File(path),
            });
        }
        let question = Question::on((house.today)());
        let options = Options {
            question: question.clone(),
            identify: false,
            anonymous: false,
            threads: 1,
            limits: Limits {
                pictures: 0,
                ..house.limits.clone()
            },
        };
        let all = u32::try_from(entries.len()).unwrap_or(u32::MAX);
        let mut done = 0;
        let mut summary = Summary::default();
        let mut letters = html::Letters::new(&Kind::HOLDERS);
        let broken = |e: ::csv::Error| e.to_string();
        let mut rows = csv::head(&Kind::HOLDERS).map_err(broken)?;
        tell(0, all);
        Survey::new(options, None, &house.patterns)
            .run(&entries, 0, |row| {
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
