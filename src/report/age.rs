//! Where the wording of a letter comes from, in sentences; the same in every format.

use super::clean;
use super::findings;
use super::{View, words};
use crate::model::{Age, Span};

/// Candidates below this weight are not shown.
const SHOWN: f64 = 0.05;
/// From this weight on a candidate is very likely, and likely.
const VERY_LIKELY: f64 = 0.9;
const LIKELY: f64 = 0.6;
/// More candidates than these do not help anybody.
const MOST: usize = 4;
/// As many features are shown.
const FEATURES: usize = 8;

/// Whether there is anything to say.
pub(crate) fn known(age: &Age) -> bool {
    !age.candidates.is_empty() || age.best.is_some()
}

/// What the words tell, what the stated date adds, and the weights where nothing is certain.
pub(crate) fn sentences(age: &Age) -> Vec<String> {
    let or = |names: &[String]| {
        let names: Vec<String> = names.iter().map(|n| clean::line(n)).collect();
        words::list(&names, "or")
    };
    let mut out = vec![match age.by_words.as_slice() {
        [] => "Cannot tell: no words in it date it.".to_owned(),
        [only] => format!("By its words, most likely {}.", clean::line(only)),
        several => format!(
            "Cannot tell: its words are those of {}; nothing in them tells which.",
            or(several)
        ),
    }];
    if age.by_words.len() > 1 && !age.with_date.is_empty() {
        out.push(format!(
            "The stated date is in the time of {}; but offices go on using old templates.",
            or(&age.with_date)
        ));
    }
    // A few phrases carry no percentage: words say how far they go.
    let shown = age.candidates.iter().filter(|c| c.weight >= SHOWN);
    let candidates: Vec<String> = shown.take(MOST).map(|c| clean::line(&c.wording)).collect();
    if let (Some(first), [best, rest @ ..]) = (age.candidates.first(), candidates.as_slice())
        && !rest.is_empty()
    {
        let rest = words::list(rest, "or");
        out.push(if first.weight >= VERY_LIKELY {
            format!("Words and date together: very likely {best}; hardly {rest}.")
        } else if first.weight >= LIKELY {
            format!("Words and date together: likely {best}; {rest} cannot be ruled out.")
        } else {
            format!("Words and date together cannot tell {best} from {rest}.")
        });
    }
    out
}

/// What does not fit.
pub(crate) fn misfit(age: &Age) -> Option<String> {
    let misfit = age.misfit.as_ref()?;
    Some(words::sentence(&clean::line(&findings::misfit(misfit))))
}

/// The same with what does not fit, for formats that have no sign of their own for it.
pub(crate) fn with_notes(age: &Age) -> Vec<String> {
    sentences(age).into_iter().chain(misfit(age)).collect()
}

/// A feature of the words.
pub(crate) struct Feature {
    /// Where it shows.
    pub(crate) span: Span,
    /// The place in words.
    pub(crate) place: String,
    /// How it stands to the families named, and to which it points.
    pub(crate) points_to: String,
}

/// The features behind it, no more than help anybody.
pub(crate) fn features(view: &View<'_>, age: &Age) -> Vec<Feature> {
    let shown = age.evidence.iter().take(FEATURES).map(|e| Feature {
        span: e.span,
        place: view.place_words(e.span),
        points_to: format!(
            "{} {}",
            if e.supports {
                "points to"
            } else {
                "speaks against it, and points to"
            },
            clean::line(&e.points_to)
        ),
    });
    shown.collect()
}
