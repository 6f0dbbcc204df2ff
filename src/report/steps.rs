//! What to do next, what to beware of and what nobody has verified, without layout: sentences in
//! order, each once, with the kinds that they are meant for.

use super::{Report, words};
use crate::model::{Answer, Kind, Verdict};
use jiff::civil::Date;

/// A sentence for some kinds.
pub(crate) struct Said<'a> {
    /// The sentence.
    pub(crate) sentence: &'a str,
    /// Of whom it holds: "builder; mechanic". `None` where it holds of all that were asked about.
    pub(crate) only: Option<String>,
}

/// Sentences for everybody, then those for some.
pub(crate) struct Told<'a> {
    /// Whoever signs.
    pub(crate) general: Vec<String>,
    /// One person or another.
    pub(crate) own: Vec<Said<'a>>,
}

/// The next steps; a step for some that a general one covers is left out.
pub(crate) fn next<'a>(report: &Report<'a>) -> Told<'a> {
    let general = report.steps();
    let mut own = each_once(report, |a| &a.next);
    own.retain(|said| !general.iter().any(|g| g == said.sentence));
    own.retain(|said| !covered(report, said.sentence));
    Told { general, own }
}

/// What can go wrong, without what stands among the cautions of the first screen.
pub(crate) fn beware<'a>(report: &Report<'a>) -> Told<'a> {
    let above = report.cautions();
    let mut own = each_once(report, |a| &a.hazards);
    own.retain(|said| !above.iter().any(|c| c == said.sentence));
    Told {
        general: report.hazards(),
        own,
    }
}

/// Whether a general step says it already: what to look at on the certificate of somebody who can
/// sign without doubt.
pub(crate) fn covered(report: &Report<'_>, step: &str) -> bool {
    report
        .answers
        .iter()
        .any(|a| a.answer == Verdict::Yes && step == crate::answer::card_step(a, report.patterns))
}

fn each_once<'a>(report: &Report<'a>, of: impl Fn(&'a Answer) -> &'a [String]) -> Vec<Said<'a>> {
    let mut found: Vec<(&str, Vec<Kind>)> = Vec::new();
    for answer in report.answers {
        for sentence in of(answer) {
            match found.iter_mut().find(|(s, _)| s == sentence) {
                Some((_, kinds)) => kinds.push(answer.holder),
                None => found.push((sentence, vec![answer.holder])),
            }
        }
    }
    let all = report.answers.len();
    let said = found.into_iter().map(|(sentence, kinds)| Said {
        sentence,
        only: (kinds.len() < all).then(|| tags(&kinds)),
    });
    said.collect()
}

fn tags(kinds: &[Kind]) -> String {
    let tags: Vec<&str> = kinds.iter().map(|k| words::kind_tag(*k)).collect();
    tags.join("; ")
}

/// What is said before what nobody has verified.
pub(crate) const UNVERIFIED: &str = "Whatever has one of the grades D, M, I and P above was \
    reported by one person, written from memory, inferred, or is common practice.";

/// A source that nobody has verified.
pub(crate) struct Unverified<'a> {
    /// What it is, where in it, and what its grade means.
    pub(crate) said: String,
    /// Id of the file that names it.
    pub(crate) id: &'a str,
    /// When it was last looked at.
    pub(crate) checked: Date,
}

/// What the answers rest on and nobody has verified.
pub(crate) fn unverified<'a>(report: &Report<'a>) -> Vec<Unverified<'a>> {
    let found = report.unverified();
    let rows = found.into_iter().map(|(id, source)| {
        let locator = match source.locator.as_str() {
            "" => String::new(),
            locator => format!(", {locator}"),
        };
        let grade = words::grade(&source.grade);
        Unverified {
            said: format!("{}{locator}: {grade}", source.title),
            id,
            checked: source.checked,
        }
    });
    rows.collect()
}
