//! Counts over all rows, taken as the rows come.

use std::collections::BTreeMap;

use super::row::{Amendment, Row, Standing};
use super::wordings::Clusters;

/// How many letters stand how, in the order of [`Standing::ALL`].
pub type ByStanding = [u64; Standing::ALL.len()];

/// The answers for one kind over all letters of operating limitations.
#[derive(Clone, Debug, Default)]
pub struct KindCounts {
    /// The kind, by its name.
    pub kind: String,
    /// `yes`.
    pub yes: u64,
    /// `no`.
    pub no: u64,
    /// `disputed`.
    pub disputed: u64,
    /// `undetermined`.
    pub undetermined: u64,
    /// Of those undetermined: `yes` when all open facts turn out well.
    pub open_yes: u64,
    /// Of those undetermined: `disputed` when all open facts turn out well.
    pub open_disputed: u64,
    /// Letters that need an amendment for this kind under the strictest reading.
    pub strict: u64,
    /// Letters that need one under the open reading too.
    pub always: u64,
    /// Letters that need none.
    pub never: u64,
    /// Letters where no amendment helps: no rule gives the right.
    pub useless: u64,
    /// Letters whose words do not tell.
    pub unknown: u64,
}

/// All counts.
#[derive(Debug, Default)]
pub struct Summary {
    /// Rows.
    pub rows: u64,
    /// How the letters stand.
    pub form: ByStanding,
    /// The same by the age of the letter: the decade that it states; unreadable files apart.
    pub age: BTreeMap<String, ByStanding>,
    /// The same by basis.
    pub basis: BTreeMap<String, ByStanding>,
    /// Letters by the revision that their wording comes from; `unknown` where the words do not
    /// tell.
    pub wording: BTreeMap<String, u64>,
    /// Answers by kind.
    pub kinds: Vec<KindCounts>,
    /// How the files were read: the way, with `, doubtful` where words are doubtful.
    pub reading: BTreeMap<String, u64>,
    /// Letters with each kind of defect.
    pub defects: BTreeMap<String, u64>,
    /// Clauses that follow no reference.
    pub clusters: Clusters,
}

/// The place of letters that state no year.
pub const NO_YEAR: &str = "no year";
/// The place of letters that do not tell.
pub const UNKNOWN: &str = "not told";

impl Summary {
    /// Counts a row.
    pub fn add(&mut self, row: &Row) {
        self.rows += 1;
        let at = Standing::ALL
            .iter()
            .position(|s| *s == row.form)
            .unwrap_or_default();
        count(&mut self.form, at);
        let reading = match &row.read_as {
            None => "not read".to_owned(),
            Some(way) if row.doubt.iter().any(|d| d == "doubtful-words") => {
                format!("{way}, words in doubt")
            }
            Some(way) => way.clone(),
        };
        *self.reading.entry(reading).or_default() += 1;
        if matches!(row.form, Standing::Unreadable | Standing::NoLetter) {
            return;
        }
        let age = row.year.map_or_else(
            || NO_YEAR.to_owned(),
            |year| format!("{}s", year.div_euclid(10) * 10),
        );
        count(self.age.entry(age).or_default(), at);
        let basis = row.basis.clone().unwrap_or_else(|| UNKNOWN.to_owned());
        count(self.basis.entry(basis).or_default(), at);
        let wording = row.wording.clone().unwrap_or_else(|| UNKNOWN.to_owned());
        *self.wording.entry(wording).or_default() += 1;
        for defect in &row.defects {
            *self.defects.entry(defect.clone()).or_default() += 1;
        }
        for answer in &row.answers {
            let known = self.kinds.iter().position(|k| k.kind == answer.kind);
            let index = known.unwrap_or_else(|| {
                self.kinds.push(KindCounts {
                    kind: answer.kind.clone(),
                    ..KindCounts::default()
                });
                self.kinds.len() - 1
            });
            let Some(kind) = self.kinds.get_mut(index) else {
                continue;
            };
            match answer.answer.as_str() {
                "yes" => kind.yes += 1,
                "no" => kind.no += 1,
                "disputed" => kind.disputed += 1,
                _ => {
                    kind.undetermined += 1;
                    match answer.if_met.as_str() {
                        "yes" => kind.open_yes += 1,
                        "disputed" => kind.open_disputed += 1,
                        _ => {}
                    }
                }
            }
            match answer.amendment {
                Amendment::Never => kind.never += 1,
                Amendment::Strict => kind.strict += 1,
                Amendment::Always => {
                    kind.strict += 1;
                    kind.always += 1;
                }
                Amendment::Useless => kind.useless += 1,
                Amendment::Unknown => kind.unknown += 1,
            }
        }
        self.clusters.add(row);
    }

    /// How many letters stand so.
    #[must_use]
    pub fn of(&self, standing: Standing) -> u64 {
        Standing::ALL
            .iter()
            .zip(self.form)
            .find(|(s, _)| **s == standing)
            .map_or(0, |(_, n)| n)
    }

    /// Letters of operating limitations that were read.
    #[must_use]
    pub fn letters(&self) -> u64 {
        self.rows - self.of(Standing::Unreadable) - self.of(Standing::NoLetter)
    }
}

fn count(counts: &mut ByStanding, at: usize) {
    if let Some(slot) = counts.get_mut(at) {
        *slot += 1;
    }
}
