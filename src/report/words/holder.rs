//! The person of an answer: the kind, and of a mechanic who is said to hold one rating only, that.

use super::{kind_brief, kind_in_sentence, kind_short};
use crate::model::{Answer, Rating};

/// Names of a mechanic with one rating: in a table, inside a sentence, as a title.
const AIRFRAME: [&str; 3] = [
    "Mechanic, airframe rating alone",
    "a mechanic with the airframe rating alone",
    "mechanic (airframe rating alone)",
];
const POWERPLANT: [&str; 3] = [
    "Mechanic, powerplant rating alone",
    "a mechanic with the powerplant rating alone",
    "mechanic (powerplant rating alone)",
];

fn one_rating(answer: &Answer) -> Option<[&'static str; 3]> {
    Some(match answer.ratings?.alone()? {
        Rating::Airframe => AIRFRAME,
        Rating::Powerplant => POWERPLANT,
    })
}

/// For a table; see [`kind_short`].
#[must_use]
pub fn holder_short(answer: &Answer) -> &'static str {
    one_rating(answer).map_or_else(|| kind_short(answer.holder), |[short, ..]| short)
}

/// Inside a sentence; see [`kind_in_sentence`].
#[must_use]
pub fn holder_in_sentence(answer: &Answer) -> &'static str {
    one_rating(answer).map_or_else(|| kind_in_sentence(answer.holder), |[_, said, _]| said)
}

/// In the first sentence of a report; see [`kind_brief`].
#[must_use]
pub fn holder_brief(answer: &Answer) -> &'static str {
    one_rating(answer).map_or_else(|| kind_brief(answer.holder), |[_, said, _]| said)
}

/// As a title.
#[must_use]
pub fn holder_title(answer: &Answer) -> &'static str {
    one_rating(answer).map_or_else(|| answer.holder.title(), |[.., title]| title)
}
