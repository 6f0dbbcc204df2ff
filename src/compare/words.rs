//! Words that tell what a difference means.
//!
//! The words that permit, demand and bar come from the pattern files; the lists here are the closed
//! classes of English that no file needs: articles, auxiliaries, conjunctions.

use crate::patterns::{InLists, WordList};
use crate::text::numbers::unit;

/// What a word does in a norm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum WordRole {
    /// may, can: leave.
    Leave,
    /// must, shall, will: duty.
    Duty,
    /// should: advice.
    Advice,
    /// only, unless, except.
    Limiter,
    /// not, no, never.
    Negation,
    /// if, when, until, during: a condition.
    Condition,
    /// and, or.
    Joint,
    /// months, hours, calendar: what a number counts.
    Measure,
    /// Articles, prepositions, forms of «to be»: no weight of their own.
    Light,
    /// A word with a meaning of its own.
    Content,
}

/// The role of a folded word that stands in these lists.
pub(super) fn role(word: &str, lists: InLists) -> WordRole {
    match word {
        "may" | "can" | "might" | "could" => WordRole::Leave,
        "must" | "shall" | "will" => WordRole::Duty,
        "should" => WordRole::Advice,
        "only" | "unless" | "except" | "excluding" | "but" => WordRole::Limiter,
        "not" | "no" | "nor" | "neither" | "none" | "nobody" | "without" | "cannot" => {
            WordRole::Negation
        }
        "if" | "when" | "whenever" | "while" | "where" | "until" | "before" | "after"
        | "during" | "provided" | "within" => WordRole::Condition,
        "and" | "or" => WordRole::Joint,
        "a" | "an" | "the" | "of" | "to" | "in" | "on" | "at" | "by" | "for" | "with" | "from"
        | "as" | "that" | "this" | "these" | "those" | "which" | "who" | "it" | "its" | "is"
        | "are" | "was" | "were" | "be" | "been" | "being" | "has" | "have" | "had" | "such"
        | "also" | "so" | "there" | "then" | "any" | "s" => WordRole::Light,
        _ => ROLES
            .into_iter()
            .find(|(list, _)| lists.has(*list))
            .map_or(WordRole::Content, |(_, role)| role),
    }
}

/// What words of a list do in a norm.
const ROLES: [(WordList, WordRole); 7] = [
    (WordList::Permitted, WordRole::Leave),
    (WordList::Required, WordRole::Duty),
    (WordList::Recommended, WordRole::Advice),
    (WordList::Solely, WordRole::Limiter),
    (WordList::Barred, WordRole::Negation),
    (WordList::Prior, WordRole::Condition),
    (WordList::Measure, WordRole::Measure),
];

/// Whether a word has no weight of its own: an article, a preposition, «and», a form of «to be».
pub(super) const fn is_light(role: WordRole) -> bool {
    matches!(role, WordRole::Light | WordRole::Joint)
}

/// The value of a number, in digits or words, or in Roman digits where `roman` says that they
/// can stand there.
pub(super) fn number(word: &str, roman: bool) -> Option<String> {
    if word.starts_with(|c: char| c.is_ascii_digit()) {
        return Some(word.replace(',', ""));
    }
    const ROMAN: [&str; 7] = ["", "i", "ii", "iii", "iv", "v", "vi"];
    if let Some(n) = unit(word) {
        return Some(n.to_string());
    }
    ROMAN
        .iter()
        .position(|w| roman && !word.is_empty() && *w == word)
        .map(|n| n.to_string())
}

/// A word without its endings of number and tense, as far as that can be told from its letters.
pub(super) fn stem(word: &str, lists: InLists) -> &str {
    if lists.has(WordList::Fly) {
        return "fly";
    }
    let word = word.strip_suffix("'s").unwrap_or(word);
    for ending in ["ings", "ing", "ied", "ed", "ies", "es", "s", "e"] {
        if let Some(rest) = word.strip_suffix(ending)
            && rest.len() >= 4
        {
            return rest;
        }
    }
    word
}
