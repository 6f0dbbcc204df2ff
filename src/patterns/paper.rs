//! Signs of the kind of paper, of its basis, its dates and its aircraft.

use serde::Deserialize;

use super::file::pattern_file;
use super::{Example, Lexicon, Loaded, PatternError, PhraseSet};
use crate::model::{Basis, CategoryClass};

pattern_file! {
    /// One file of `patterns/paper/`.
    PaperFile, hit: Example, miss: Example, {
        /// The words and what they are a sign of.
        sign: Sign,
    }
}

/// The words of a sign and what they tell.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sign {
    /// `letter`, `amendment`, `light-sport-category`, `certificate`, `airman-certificate`, `registration`,
    /// `basis`, `issue-date`, `other-date`, `category`, `replaces`, `deletes`, `limitation-word`,
    /// `term`, `serial-label`, `make-label`.
    pub of: String,
    /// For `basis` the paragraph of § 21.191, for `category` category and class.
    #[serde(default)]
    pub means: String,
    /// Phrases; see [`super::phrase`].
    pub any: Vec<String>,
    /// For `basis`: the words, in lower case, by which a table or a heading of an order names the
    /// purpose.
    #[serde(default)]
    pub in_orders: Vec<String>,
}

/// What a sign tells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PaperMeaning {
    /// The voice of operating limitations.
    Letter,
    /// A light-sport category aircraft: no experimental certificate.
    LightSportCategory,
    /// A paper that changes a letter.
    Amendment,
    /// FAA Form 8130-7.
    Certificate,
    /// A person's certificate.
    AirmanCertificate,
    /// A registration.
    Registration,
    /// The purpose of the certificate, in words.
    Basis(Basis),
    /// Stands before the day of issue.
    IssueDate,
    /// Stands before another day.
    OtherDate,
    /// What the aircraft is.
    Category(CategoryClass),
    /// Stands behind the numbers of limitations that others replace, or before them.
    Replaces,
    /// The same where nothing takes their place.
    Deletes,
    /// Stands before the numbers of limitations.
    LimitationWord,
    /// Stands before the day on which a paper runs out, or its term.
    Term,
    /// Stands before the serial number.
    SerialLabel,
    /// Stands before the make.
    MakeLabel,
}

impl PaperMeaning {
    /// Whether it is searched for apart, so that its words hide no sign of the paper.
    const fn is_label(&self) -> bool {
        matches!(
            self,
            Self::Replaces
                | Self::Deletes
                | Self::LimitationWord
                | Self::Term
                | Self::SerialLabel
                | Self::MakeLabel
        )
    }
}

/// All files of the folder, compiled.
#[derive(Debug, Default)]
pub struct Papers {
    /// The files.
    pub files: Vec<Loaded<PaperFile>>,
    /// Phrases; the payload is the index of the file and what it tells.
    pub phrases: PhraseSet<(usize, PaperMeaning)>,
    /// Labels of fields, and words that replace limitations; the same payload.
    pub labels: PhraseSet<(usize, PaperMeaning)>,
    /// The words of orders for the purposes of § 21.191, each with its paragraph.
    pub purposes: Vec<(String, char)>,
}

impl Papers {
    pub(super) fn compile(
        files: Vec<Loaded<PaperFile>>,
        lexicon: &mut Lexicon,
    ) -> Result<Self, PatternError> {
        let (mut signs, mut labels) = (PhraseSet::default(), PhraseSet::default());
        let mut purposes = Vec::new();
        for (n, loaded) in files.iter().enumerate() {
            let form = |message| loaded.refuse(message);
            let sign = &loaded.file.sign;
            let meaning = meaning(&sign.of, &sign.means).ok_or_else(|| {
                form(format!(
                    "of = \"{}\", means = \"{}\" is not known",
                    sign.of, sign.means
                ))
            })?;
            match &meaning {
                PaperMeaning::Basis(basis) => {
                    let words = sign.in_orders.iter().cloned();
                    purposes.extend(words.map(|words| (words, basis.letter)));
                }
                _ if sign.in_orders.is_empty() => {}
                _ => return Err(form("«in_orders» belongs to of = \"basis\"".to_owned())),
            }
            let phrases = if meaning.is_label() {
                &mut labels
            } else {
                &mut signs
            };
            for phrase in &sign.any {
                let clash = phrases
                    .add(lexicon, phrase, (n, meaning.clone()))
                    .map_err(form)?;
                if clash.is_some_and(|(other, _)| other != n) {
                    return Err(form(format!("«{phrase}» stands in another file too")));
                }
            }
        }
        Ok(Self {
            files,
            phrases: signs,
            labels,
            purposes,
        })
    }
}

fn meaning(of: &str, means: &str) -> Option<PaperMeaning> {
    Some(match (of, means) {
        ("basis", basis) => PaperMeaning::Basis(Basis::parse(basis)?),
        ("category", category) => PaperMeaning::Category(CategoryClass::parse(category)?),
        (_, m) if !m.is_empty() => return None,
        ("letter", _) => PaperMeaning::Letter,
        ("light-sport-category", _) => PaperMeaning::LightSportCategory,
        ("amendment", _) => PaperMeaning::Amendment,
        ("certificate", _) => PaperMeaning::Certificate,
        ("airman-certificate", _) => PaperMeaning::AirmanCertificate,
        ("registration", _) => PaperMeaning::Registration,
        ("issue-date", _) => PaperMeaning::IssueDate,
        ("other-date", _) => PaperMeaning::OtherDate,
        ("replaces", _) => PaperMeaning::Replaces,
        ("deletes", _) => PaperMeaning::Deletes,
        ("limitation-word", _) => PaperMeaning::LimitationWord,
        ("term", _) => PaperMeaning::Term,
        ("serial-label", _) => PaperMeaning::SerialLabel,
        ("make-label", _) => PaperMeaning::MakeLabel,
        _ => return None,
    })
}
