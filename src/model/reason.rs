//! Why a difference of two wordings matters or not, and why a letter was not compared, as data.

use super::Kind;

/// Why a difference is what it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DifferenceReason {
    /// Two forms of a place to write in.
    BlankForms,
    /// A place to write in is filled in.
    BlankFilled,
    /// The clause number, or its marks.
    Label,
    /// These rules, cited in another form.
    SameRule(Vec<String>),
    /// Words without weight.
    NoWeight,
    /// Marks only.
    MarksOnly,
    /// The same words in another form.
    SameWords,
    /// No word of weight differs.
    NoneOfWeight,
    /// Another term.
    AnotherTerm,
    /// Words that were not there before.
    NewWords,
    /// Words that are no longer there.
    GoneWords,
    /// It now names this kind of inspector.
    Names(Kind),
    /// It no longer names this kind of inspector.
    NamesNoLonger(Kind),
    /// Words that came and words that went; one of the two may be empty.
    Words {
        /// They are no longer there.
        gone: Vec<String>,
        /// They are new.
        come: Vec<String>,
        /// What follows.
        effect: WordsEffect,
    },
    /// The text of the wording that is held is cut there.
    WordingCut,
}

/// What follows where some words took the place of others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WordsEffect {
    /// Who or what is covered changes.
    Scope,
    /// The meaning turns round.
    TurnsRound,
    /// Another negation.
    Negation,
    /// The same force.
    SameForce,
    /// Behind "no person" each of the words bars.
    EachBars,
    /// The force of the norm changes.
    Force,
    /// Another number.
    Number,
    /// Another interval or measure.
    Measure,
    /// The paragraph moved, its words did not change.
    ParagraphMoved,
    /// Another rule is cited.
    AnotherRule,
    /// One of them, or all of them.
    OneOrAll,
    /// A condition changes.
    Condition,
}

/// With which wordings a letter was compared where it does not say, or why with none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ComparisonNote {
    /// It speaks of the builder with a repairman certificate, as those for (g) do.
    BasisOfBuilder,
    /// Its clauses are worded as those for this paragraph of § 21.191.
    BasisOfWords {
        /// So many of them.
        clauses: usize,
        /// The paragraph.
        basis: char,
    },
    /// Its basis is not known.
    NoBasis,
    /// No wording is held for this paragraph of § 21.191.
    NoneHeld(char),
    /// No wording is held for such a paper.
    NoneForPaper,
    /// The wording that was asked for is none for the basis of the letter.
    AnotherBasis {
        /// The wording or series, as the user named it.
        wording: String,
        /// The basis of the letter.
        basis: char,
    },
}
