//! How people speak of letters: frames of claims, questions, and words that letters do not use.

use serde::Deserialize;

use super::file::pattern_file;
use super::{Lexicon, Loaded, PatternError, PhraseSet, Token};

pattern_file! {
    /// One file of `patterns/claim/`.
    ClaimFile, hit: ClaimExample, miss: ClaimMiss, {
        /// The words and what they do.
        claim: ClaimWords,
    }
}

/// A claim, and what is left of it when its frame is off.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClaimExample {
    /// The claim.
    pub text: String,
    /// The same as a clause would say it.
    pub means: String,
}

/// A claim that the file leaves as it is.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClaimMiss {
    /// The claim.
    pub text: String,
    /// Why.
    pub why: String,
}

/// Words of claims.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClaimWords {
    /// What they do.
    pub role: ClaimRole,
    /// The words that letters use for them; for the roles that stand for other words.
    #[serde(default)]
    pub means: String,
    /// Phrases; see [`super::phrase`].
    pub any: Vec<String>,
}

/// What words do in a claim; a closed set, because the code has to do it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ClaimRole {
    /// They lead the claim in and are no part of it.
    Frame,
    /// A person who says what the letter says: "my mechanic".
    Speaker,
    /// What he does: "claims that". Behind a speaker the two lead the claim in.
    Tells,
    /// They stand before the number of a clause.
    Label,
    /// They follow it.
    Says,
    /// They open a question.
    Asks,
    /// A verb before which the auxiliary of a question belongs.
    Verb,
    /// They stand for other words.
    Means,
    /// The same, where the claim ends with them.
    Ends,
    /// The same, where it begins with them.
    Begins,
    /// They name the letter, as the subject of what it grants or bars.
    Paper,
    /// They say that it grants or bars; they mean the auxiliary: "may", "may not".
    Grants,
    /// The act behind "bars ... from".
    Doing,
    /// "Unless you are": who may stands behind them.
    Unless,
    /// "You may not": the other half of that sentence.
    YouMayNot,
    /// "You need": who must perform the inspection stands behind them; they mean what he must do.
    Needs,
    /// "For the inspection": the other half of that sentence.
    ForInspection,
    /// They say how often, or nothing, and are left out with the commas around them.
    Aside,
    /// Behind them the number of a clause says which inspection is meant.
    Refers,
    /// They take a duty or a need away.
    NoNeed,
    /// They take the need of an inspection authorization away.
    Waives,
    /// They stand before the bare number of a clause: "under 26", "number 26".
    Leads,
    /// Verbs that say what a clause does: "26 reserves it to".
    Rules,
    /// What somebody may that speaks of himself; they mean the auxiliary.
    Myself,
    /// A verb that commands.
    Command,
    /// "Not even if he holds".
    EvenIf,
    /// They say that a list leaves others out.
    Closes,
    /// They say that it lets others in.
    Opens,
    /// They do away with a condition that they speak of: "no matter how".
    Despite,
    /// They say that somebody is not named.
    NotListed,
    /// A check or an inspection that is no condition inspection.
    OtherInspection,
    /// They shut somebody out beside a list: "not the builder".
    Out,
    /// They say that something is permitted: "is fine".
    Fine,
    /// Words of which one shuts the others out: "private", "commercial".
    Rival,
}

impl ClaimRole {
    /// Whether words of this role stand for other words.
    const fn has_meaning(self) -> bool {
        matches!(
            self,
            Self::Means | Self::Ends | Self::Begins | Self::Grants | Self::Myself | Self::Needs
        )
    }
}

/// All files of the folder, compiled.
#[derive(Debug, Default)]
pub struct Claims {
    /// The files.
    pub files: Vec<Loaded<ClaimFile>>,
    /// Phrases, with the files that hold them.
    pub phrases: PhraseSet<Vec<usize>>,
    /// The words of letters by their numbers, and the words of these files behind them.
    lexicon: Lexicon,
}

impl Claims {
    pub(super) fn compile(
        files: Vec<Loaded<ClaimFile>>,
        mut lexicon: Lexicon,
    ) -> Result<Self, PatternError> {
        let mut phrases: PhraseSet<Vec<usize>> = PhraseSet::default();
        for (n, loaded) in files.iter().enumerate() {
            let words = &loaded.file.claim;
            if words.role.has_meaning() == words.means.is_empty() {
                return Err(loaded.refuse(
                    "«means» belongs to the roles «means», «ends», «begins», «grants», «myself» and «needs», \
                     which need it"
                        .to_owned(),
                ));
            }
            for phrase in &words.any {
                phrases
                    .add_with(&mut lexicon, phrase, |files| {
                        let files = files.get_or_insert_default();
                        if !files.contains(&n) {
                            files.push(n);
                        }
                    })
                    .map_err(|message| loaded.refuse(message))?;
            }
        }
        Ok(Self {
            files,
            phrases,
            lexicon,
        })
    }

    /// The tokens of a claim, numbered by the words of letters and of these files.
    #[must_use]
    pub fn tokens(&self, text: &str) -> Vec<Token> {
        self.lexicon.tokens(text)
    }

    /// The words of a file.
    #[must_use]
    pub fn words(&self, file: usize) -> &ClaimWords {
        &self.files[file].file.claim
    }
}
