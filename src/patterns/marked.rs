//! Phrases with the files that know them. The build compiles those of the program (`src/build.rs`),
//! the program only what a folder lays over them.

use super::phrase::{Lexicon, PhraseSet};
use super::rules::Automaton;
use super::tables::stored;

/// Phrases of the files of a room, with the words that they know.
#[derive(Clone, Debug, Default)]
pub(crate) struct Marked {
    /// The words.
    pub(crate) lexicon: Lexicon,
    /// The phrases; the files of each by their place in the room.
    pub(crate) phrases: Automaton<u16>,
}

stored!(Marked { lexicon, phrases });

impl Marked {
    /// Compiles the phrases of each file.
    ///
    /// # Errors
    /// The place of the file, and a sentence that says what is wrong with its phrase.
    pub(crate) fn new<'f>(
        files: impl Iterator<Item = &'f [String]>,
    ) -> Result<Self, (usize, String)> {
        let mut lexicon = Lexicon::default();
        let mut phrases: PhraseSet<Vec<u16>> = PhraseSet::default();
        let mut last = 0;
        for (n, any) in files.enumerate() {
            last = n;
            let file = u16::try_from(n).unwrap_or(u16::MAX);
            for phrase in any {
                phrases
                    .add_with(&mut lexicon, phrase, |uses| {
                        let uses = uses.get_or_insert_default();
                        if !uses.contains(&file) {
                            uses.push(file);
                        }
                    })
                    .map_err(|message| (n, message))?;
            }
        }
        Ok(Self {
            lexicon,
            phrases: Automaton::of(phrases).map_err(|message| (last, message))?,
        })
    }
}
