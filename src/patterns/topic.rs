//! Topics of clauses, and their subjects, which are finer.

use super::file::pattern_file;
use super::{Example, Lexicon, Loaded, PatternError, PhraseSet, Token};

pattern_file! {
    /// One file of `patterns/topic/` or `patterns/subject/`; the last part of its id is the name.
    TopicFile, hit: Example, miss: Example, {
        /// Phrases that show the topic; see [`super::phrase`].
        any: Vec<String>,
        /// Where given, one of these has to stand in the same sentence.
        #[serde(default)]
        needs: Vec<String>,
        /// Where one of these stands in the same sentence, the phrases of `any` count for nothing.
        #[serde(default)]
        unless: Vec<String>,
    }
}

/// What a phrase is to a topic file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// It shows the topic.
    Any,
    /// The topic needs it.
    Needs,
    /// It keeps the topic away.
    Unless,
}

/// All files of the folder, compiled.
#[derive(Debug, Default)]
pub struct Topics {
    /// The files.
    pub files: Vec<Loaded<TopicFile>>,
    /// Phrases; the payload tells for which files they count, and how.
    pub phrases: PhraseSet<Vec<(usize, Sign)>>,
}

/// What clauses are about, as they are compared with each other.
#[derive(Debug, Default)]
pub struct Subjects {
    /// The files and their phrases.
    pub topics: Topics,
    /// The words of letters by their numbers, and the words of these files behind them.
    lexicon: Lexicon,
}

impl Subjects {
    pub(super) fn compile(
        files: Vec<Loaded<TopicFile>>,
        mut lexicon: Lexicon,
    ) -> Result<Self, PatternError> {
        Ok(Self {
            topics: Topics::compile(files, &mut lexicon)?,
            lexicon,
        })
    }

    /// The tokens of a clause, numbered by the words of letters and of these files.
    #[must_use]
    pub fn tokens(&self, text: &str) -> Vec<Token> {
        self.lexicon.tokens(text)
    }
}

impl Topics {
    pub(super) fn compile(
        files: Vec<Loaded<TopicFile>>,
        lexicon: &mut Lexicon,
    ) -> Result<Self, PatternError> {
        // A phrase may serve several topics: its uses are gathered.
        let mut phrases_of: PhraseSet<Vec<(usize, Sign)>> = PhraseSet::default();
        for (n, loaded) in files.iter().enumerate() {
            let form = |message| loaded.refuse(message);
            for (sign, phrases) in [
                (Sign::Any, &loaded.file.any),
                (Sign::Needs, &loaded.file.needs),
                (Sign::Unless, &loaded.file.unless),
            ] {
                for phrase in phrases {
                    phrases_of
                        .add_with(lexicon, phrase, |uses| {
                            uses.get_or_insert_default().push((n, sign));
                        })
                        .map_err(form)?;
                }
            }
        }
        Ok(Self {
            files,
            phrases: phrases_of,
        })
    }

    /// The topic that a file stands for.
    #[must_use]
    pub fn name(&self, file: usize) -> &str {
        self.files
            .get(file)
            .and_then(|f| f.id.rsplit('/').next())
            .unwrap_or_default()
    }
}
