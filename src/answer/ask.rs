//! Which questions are worth asking: only those whose answers can change this answer.

use super::facts::Facts;
use super::state::Fact;
use crate::model::{
    Answer, Basis, CategoryClass, CertificateFor, Inspection, Letter, Ownership, Question, Rating,
    Ratings, Verdict,
};
use crate::patterns::Patterns;

/// A question to the user, skippable.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// Which fact.
    pub fact: Fact,
    /// The question in words.
    pub words: String,
    /// The answers that the option takes.
    pub options: Vec<String>,
}

/// The questions that can change the answers, in the order in which they are best asked.
///
/// Call it again after each answer: a fact can make others needless.
#[must_use]
pub fn ask(letter: &Letter, question: &Question, patterns: &Patterns) -> Vec<Ask> {
    let before = super::answer(letter, question, patterns);
    let facts = Facts::resolve(letter, question);
    Fact::ALL
        .into_iter()
        .filter(|fact| !given(*fact, question, &facts))
        .filter_map(|fact| {
            let options = options(fact, question);
            let named = before
                .iter()
                .any(|a| a.settled_by.iter().any(|s| s == fact.name()));
            let changes = options.iter().any(|option| {
                let mut with = question.clone();
                set(&mut with, fact, option)
                    && what(&super::answer(letter, &with, patterns)) != what(&before)
            });
            ((named && !options.is_empty()) || changes).then(|| Ask {
                fact,
                words: format!("Can you say {}?", fact.meaning()),
                options,
            })
        })
        .collect()
}

/// Sets a fact of the question from the words of an option; false where they are not understood.
pub fn set(question: &mut Question, fact: Fact, words: &str) -> bool {
    fn put<T>(slot: &mut Option<T>, value: Option<T>) -> bool {
        let known = value.is_some();
        if known {
            *slot = value;
        }
        known
    }
    let yes_no = match words.trim() {
        "yes" | "y" => Some(true),
        "no" | "n" => Some(false),
        _ => None,
    };
    match fact {
        Fact::Basis => put(&mut question.basis, Basis::parse(words)),
        Fact::Owner => put(&mut question.owner, Ownership::from_name(words.trim())),
        Fact::Trained => put(&mut question.trained, CategoryClass::parse(words)),
        Fact::Aircraft => put(&mut question.aircraft, CategoryClass::parse(words)),
        Fact::Ratings => {
            let ratings = Ratings {
                airframe: words.contains(Rating::Airframe.name()),
                powerplant: words.contains(Rating::Powerplant.name()),
            };
            let known = ratings.airframe || ratings.powerplant;
            put(&mut question.ratings, known.then_some(ratings))
        }
        Fact::CertificateFor => put(
            &mut question.certificate_for,
            CertificateFor::from_name(words.trim()),
        ),
        Fact::HoldsIa => put(&mut question.inspection_authorization, yes_no),
        Fact::EarlierCertificate => put(&mut question.earlier_certificate, yes_no),
        Fact::Issued => put(&mut question.issued, words.trim().parse().ok()),
        Fact::Holder | Fact::ClauseCondition | Fact::EffectiveDay => false,
    }
}

fn what(answers: &[Answer]) -> Vec<(Verdict, Verdict)> {
    answers.iter().map(|a| (a.answer, a.if_met)).collect()
}

fn given(fact: Fact, question: &Question, facts: &Facts) -> bool {
    match fact {
        Fact::Basis => facts.basis.is_some(),
        Fact::Owner => facts.owner.is_some(),
        Fact::Trained => facts.trained.is_some(),
        Fact::Aircraft => facts.aircraft.is_some(),
        Fact::Ratings => facts.ratings.is_some(),
        Fact::CertificateFor => facts.certificate_for.is_some(),
        Fact::HoldsIa => facts.holds_ia.is_some(),
        Fact::EarlierCertificate => facts.earlier_certificate.is_some(),
        Fact::Issued => facts.issued.is_some() || question.inspection != Inspection::Yearly,
        Fact::Holder | Fact::ClauseCondition | Fact::EffectiveDay => true,
    }
}

/// The values that are tried and offered. An issue date decides nothing by itself, except that a
/// letter may be younger than the day asked about; it is not asked.
fn options(fact: Fact, question: &Question) -> Vec<String> {
    let all = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect();
    match fact {
        Fact::Basis => all(&[
            "g", "i1", "i2", "i3", "k", "l", "a", "b", "c", "d", "e", "f", "h", "j",
        ]),
        Fact::Owner => Ownership::ALL.iter().map(|o| o.name().to_owned()).collect(),
        Fact::Trained | Fact::Aircraft => {
            let mut options: Vec<String> = all(&CategoryClass::CATEGORIES);
            for (category, classes) in CategoryClass::CLASSES {
                options.extend(classes.iter().map(|class| format!("{category}/{class}")));
            }
            let other = if fact == Fact::Trained {
                &question.aircraft
            } else {
                &question.trained
            };
            // The likeliest first.
            options.sort_by_key(|o| other.as_ref().is_none_or(|c| *o != c.category));
            options
        }
        Fact::Ratings => {
            let (one, other) = (Rating::Airframe.name(), Rating::Powerplant.name());
            all(&[&format!("{one},{other}"), one, other])
        }
        Fact::CertificateFor => all(&["this", "other", "none"]),
        Fact::HoldsIa | Fact::EarlierCertificate => all(&["yes", "no"]),
        Fact::Issued | Fact::Holder | Fact::ClauseCondition | Fact::EffectiveDay => Vec::new(),
    }
}
