//! Deontic triggers: words that permit, demand, bar or restrict, and the words around them.

use serde::Deserialize;

use super::classes::{self, Classes};
use super::file::pattern_file;
use super::{Example, Lexicon, Loaded, PatternError, PhraseSet};
use crate::model::Modality;

pattern_file! {
    /// One file of `patterns/modality/`: a trigger, or a list of words of one class.
    ModalityFile, hit: Example, miss: Example, {
        /// The words and what they mean.
        #[serde(default)]
        trigger: Option<Trigger>,
        /// Words of one class.
        #[serde(default)]
        words: Option<Words>,
    }
}

/// The words of a deontic pattern and what they mean.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Trigger {
    /// Phrases; see [`super::phrase`].
    pub any: Vec<String>,
    /// `permission`, `obligation`, `prohibition`, `restriction` or `statement`.
    pub modality: String,
    /// How the phrase works in its clause.
    #[serde(default)]
    pub role: ModalRole,
    /// What the phrase becomes when it is negated ("no person is required to").
    #[serde(default)]
    pub negated: Option<String>,
    /// For frames: first words of the modals behind which they count; empty = all.
    #[serde(default)]
    pub after: Vec<String>,
    /// What the subject has to be.
    #[serde(default)]
    pub subject: Subject,
}

/// How a trigger works in its clause.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ModalRole {
    /// Stands between subject and verb: "may", "is required to".
    #[default]
    Modal,
    /// Says everything itself: "is prohibited", "is required".
    Predicate,
    /// Stands behind a modal and changes what it means: "(shall) be deemed".
    Frame,
    /// Stands before a subject and bars: "no", "neither".
    Negator,
    /// Limits: "only".
    Limiter,
    /// Makes a norm of a line without a verb: "prohibited", "not permitted".
    Terse,
    /// Takes the force out of the modal behind it: "nothing in this limitation".
    Disclaimer,
}

/// What the subject of a clause has to be.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Subject {
    /// Anything.
    #[default]
    Any,
    /// A person or body, or anything in a passive.
    Agent,
    /// No person or body.
    Thing,
    /// Anything, in a passive.
    Passive,
    /// "it", "we", "one": nobody in particular.
    Speaker,
}

/// Words of one class.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Words {
    /// What they are.
    pub class: Class,
    /// The words; phrases for `condition` and `exception`.
    pub any: Vec<String>,
}

/// A class of words.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Class {
    /// Nouns for people and bodies, in the singular.
    Agent,
    /// Nouns for things, in the singular.
    Thing,
    /// Irregular participles.
    Participle,
    /// Participles that describe a state of the subject.
    Status,
    /// Verbs that a thing does and a body does not.
    Stative,
    /// Verbs whose content is inferred, not laid down.
    Inference,
    /// Hedges and connectives of running prose.
    Prose,
    /// Words whose "that" opens what they say.
    Content,
    /// Nouns for times.
    Time,
    /// Adjectives that may stand behind their noun.
    Postpositive,
    /// Words in -ly that are no adverbs.
    NoAdverb,
    /// Words that open a condition.
    Condition,
    /// Words that open an exception.
    Exception,
    /// Words that open an exception only where something is barred.
    Escape,
}

/// A compiled trigger.
#[derive(Clone, Copy, Debug)]
pub struct Compiled {
    /// Index of the file.
    pub file: usize,
    /// What it does.
    pub modality: Modality,
    /// What it does when negated.
    pub negated: Option<Modality>,
    /// How it works.
    pub role: ModalRole,
    /// What the subject has to be.
    pub subject: Subject,
}

/// All deontic triggers, compiled.
#[derive(Debug, Default)]
pub struct Modalities {
    /// The files.
    pub files: Vec<Loaded<ModalityFile>>,
    /// Triggers that stand on their own; the payload is an index into [`Modalities::triggers`].
    pub phrases: PhraseSet<usize>,
    /// Frames behind a modal.
    pub frames: PhraseSet<usize>,
    /// Words that open conditions, exceptions and escapes.
    pub adjuncts: PhraseSet<Class>,
    /// Parallel to the files; `None` for word lists.
    pub triggers: Vec<Option<Compiled>>,
    /// Classes of words.
    pub classes: Classes,
}

impl Modalities {
    pub(super) fn compile(
        files: Vec<Loaded<ModalityFile>>,
        lexicon: &mut Lexicon,
    ) -> Result<Self, PatternError> {
        let mut all = Self {
            classes: Classes::closed(lexicon),
            ..Self::default()
        };
        for (n, loaded) in files.iter().enumerate() {
            let form = |message| loaded.refuse(message);
            let compiled = match (&loaded.file.trigger, &loaded.file.words) {
                (Some(trigger), None) => Some(all.trigger(trigger, n, lexicon).map_err(form)?),
                (None, Some(words)) => {
                    all.words(words, lexicon).map_err(form)?;
                    None
                }
                _ => return Err(form("expected [trigger] or [words], one of them".into())),
            };
            all.triggers.push(compiled);
        }
        all.files = files;
        Ok(all)
    }

    fn trigger(
        &mut self,
        trigger: &Trigger,
        file: usize,
        lexicon: &mut Lexicon,
    ) -> Result<Compiled, String> {
        for phrase in &trigger.any {
            if trigger.role == ModalRole::Frame {
                if trigger.after.is_empty() {
                    self.frames.add(lexicon, phrase, file)?;
                }
                for modal in &trigger.after {
                    self.frames
                        .add(lexicon, &format!("{modal} {phrase}"), file)?;
                }
            } else {
                self.phrases.add(lexicon, phrase, file)?;
            }
        }
        let modality = |name: &str| {
            [
                Modality::Permission,
                Modality::Obligation,
                Modality::Prohibition,
                Modality::Restriction,
                Modality::Statement,
            ]
            .into_iter()
            .find(|m| m.name() == name)
            .ok_or_else(|| {
                format!(
                    "«{name}» is no modality; expected permission, obligation, prohibition, \
                     restriction or statement"
                )
            })
        };
        Ok(Compiled {
            file,
            modality: modality(&trigger.modality)?,
            negated: trigger.negated.as_deref().map(modality).transpose()?,
            role: trigger.role,
            subject: trigger.subject,
        })
    }

    fn words(&mut self, words: &Words, lexicon: &mut Lexicon) -> Result<(), String> {
        let bit = match words.class {
            Class::Agent => classes::AGENT,
            Class::Thing => classes::THING,
            Class::Participle => classes::PARTICIPLE,
            Class::Status => classes::STATUS,
            Class::Stative => classes::STATIVE,
            Class::Inference => classes::INFERENCE,
            Class::Prose => classes::PROSE,
            Class::Content => classes::CONTENT,
            Class::Time => classes::TIME,
            Class::Postpositive => classes::POSTPOSITIVE,
            Class::NoAdverb => classes::NO_ADVERB,
            Class::Condition | Class::Exception | Class::Escape => {
                for phrase in &words.any {
                    self.adjuncts.add(lexicon, phrase, words.class)?;
                }
                return Ok(());
            }
        };
        for line in &words.any {
            for word in line.split_whitespace() {
                self.classes.add(lexicon, word, bit);
                if matches!(words.class, Class::Agent | Class::Thing) {
                    self.classes.add(lexicon, &plural(word), bit);
                }
            }
        }
        Ok(())
    }

    /// The trigger of a file.
    #[must_use]
    pub fn trigger_of(&self, file: usize) -> Option<Compiled> {
        self.triggers.get(file).copied().flatten()
    }

    /// The id of a file.
    #[must_use]
    pub fn id(&self, file: usize) -> Option<&str> {
        self.files.get(file).map(|f| f.id.as_str())
    }
}

/// The regular plural of a noun.
fn plural(word: &str) -> String {
    if let Some(stem) = word.strip_suffix("man") {
        format!("{stem}men")
    } else if let Some(stem) = word.strip_suffix('y')
        && !stem.ends_with(['a', 'e', 'o', 'u'])
    {
        format!("{stem}ies")
    } else if ["s", "x", "ch", "sh"].iter().any(|e| word.ends_with(e)) {
        format!("{word}es")
    } else {
        format!("{word}s")
    }
}
