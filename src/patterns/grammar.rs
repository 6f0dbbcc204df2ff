//! Words of the grammar with their class and meaning, and its rules.

use std::sync::Arc;

use super::file::{self, pattern_file};
pub(super) use super::rules::Compiled;
pub use super::rules::WordClass;
use super::rules::{Refusal, Rules, Words};
use super::tables::Finder;
use super::{Example, Files, Loaded, PatternError, Token};

pattern_file! {
    /// One file of `patterns/word/`.
    WordFile, hit: Example, miss: Example, {
        /// Classes of words.
        words: Vec<WordClass>,
    }
}

pattern_file! {
    /// One file of `patterns/grammar/`.
    RuleFile, hit: Example, miss: Example, {
        /// Rules; see `src/patterns/rules/mod.rs`.
        rules: Vec<String>,
        /// Categories of phrases between whose parts an aside (category `ASIDE`) may stand.
        #[serde(default)]
        asides_in: Vec<String>,
    }
}

const WORDS: &str = "word";
const RULES: &str = "grammar";

/// Words and rules of the grammar, compiled.
#[derive(Debug)]
pub struct GrammarFiles {
    /// Ids of the files of words.
    pub words: Vec<String>,
    /// Ids of the files of rules.
    pub rules: Vec<String>,
    pub(crate) compiled_words: Arc<Words>,
    pub(crate) compiled_rules: Arc<Rules>,
}

impl GrammarFiles {
    /// Words and rules with the files that they stand in.
    pub(super) fn new(files: &Files, words: Words, rules: Rules) -> Self {
        let ids = |room| {
            file::of_room(files, room)
                .map(|(id, _)| id.to_owned())
                .collect()
        };
        Self {
            words: ids(WORDS),
            rules: ids(RULES),
            compiled_words: Arc::new(words),
            compiled_rules: Arc::new(rules),
        }
    }

    /// Every phrase that starts at token `at`, shortest first: the index one past its last token,
    /// and the file and class of each meaning that it has.
    pub fn phrases_at<'s>(
        &'s self,
        tokens: &'s [Token],
        at: usize,
    ) -> impl Iterator<Item = (usize, &'s [[u16; 2]])> + 's {
        self.compiled_words.phrases.all_at(tokens, at)
    }
}

/// The files of words and of rules, as they are written.
///
/// # Errors
/// [`PatternError`] where one breaks the form.
pub(super) fn load(files: &Files) -> Result<Written, PatternError> {
    Ok((file::load(files, WORDS)?, file::load(files, RULES)?))
}

/// Files of words, files of rules.
pub type Written = (Vec<Loaded<WordFile>>, Vec<Loaded<RuleFile>>);

/// What the build compiled; words and rules as they are written where it did not, or where a folder lays
/// some over them.
///
/// # Errors
/// [`PatternError`] where a file breaks the form.
pub(super) fn compile(files: &Files, built: &'static [u8]) -> Result<Compiled, PatternError> {
    if file::as_built(files, &[WORDS, RULES])
        && let Some(compiled) = Finder::find(built)
    {
        return Ok(compiled);
    }
    let (words, rules) = load(files)?;
    Compiled::new(
        words.iter().map(|f| f.file.words.as_slice()),
        rules
            .iter()
            .map(|f| (f.file.rules.as_slice(), f.file.asides_in.as_slice())),
    )
    .map_err(|refusal| match refusal {
        Refusal::Words(n, message) => words[n].refuse(message),
        Refusal::Rules(n, message) => rules[n].refuse(message),
    })
}
