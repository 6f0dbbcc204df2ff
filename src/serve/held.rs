//! A letter that was read, held in memory, and what is said of it.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use jiff::civil::Date;

use super::facts::Facts;
use crate::Case;
use crate::answer::{Answered, Due, EntryReport, Fact, Interval, Year};
use crate::model::{Age, Comparison, Doubt, Letter, Question, Text};
use crate::patterns::Patterns;
use crate::read::Said;
use crate::report::Report;

/// A letter as it was read, with what persons read in it since.
#[derive(Debug)]
pub(super) struct Held {
    /// As OCR, or the file, has it.
    base: Text,
    /// What a person read, by the index of the doubt.
    said: Mutex<BTreeMap<usize, String>>,
    view: Mutex<Arc<View>>,
}

/// The letter as it stands now, understood.
#[derive(Debug)]
pub(super) struct View {
    pub(super) text: Text,
    pub(super) letter: Letter,
    comparison: Comparison,
    age: Age,
    interval: Interval,
    /// Doubts that a person may settle.
    pub(super) words: Vec<Word>,
}

/// A word that decides and that OCR was not sure of.
#[derive(Clone, Debug)]
pub(super) struct Word {
    /// Index of the doubt in the text as it was read.
    pub(super) index: usize,
    /// The doubt, with its place in that text.
    pub(super) doubt: Doubt,
    /// As it was read.
    pub(super) read: String,
    /// The line around it.
    pub(super) line: (String, String),
    /// What a person said it is.
    pub(super) said: Option<String>,
}

impl Held {
    /// Understands a text that was read.
    pub(super) fn new(base: Text, patterns: &Patterns) -> Self {
        let view = View::of(&base, &BTreeMap::new(), patterns);
        Self {
            base,
            said: Mutex::default(),
            view: Mutex::new(Arc::new(view)),
        }
    }

    /// The letter as it stands now.
    pub(super) fn view(&self) -> Arc<View> {
        Arc::clone(&self.view.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// One of the letters of different aircraft that were handed in together, from 1; the whole
    /// where none is asked for or there is no such letter.
    pub(super) fn view_of(&self, letter: Option<usize>, patterns: &Patterns) -> Arc<View> {
        let whole = self.view();
        let spans = letter.and_then(|n| {
            let mixed = whole.letter.mixed.as_ref()?;
            mixed.letters.get(n.checked_sub(1)?)
        });
        match spans {
            None => whole,
            Some(spans) => {
                let text = whole.text.part(spans);
                Arc::new(View::of(&text, &BTreeMap::new(), patterns))
            }
        }
    }

    /// The text as it was read, with its pictures.
    pub(super) const fn base(&self) -> &Text {
        &self.base
    }

    /// Takes down what a person read: words, or `None` for "cannot tell".
    pub(super) fn say(&self, words: Vec<(usize, Option<String>)>, patterns: &Patterns) {
        let mut said = self.said.lock().unwrap_or_else(PoisonError::into_inner);
        for (index, words) in words {
            if index >= self.base.doubts.len() {
                continue;
            }
            match words {
                Some(words) => said.insert(index, words),
                None => said.remove(&index),
            };
        }
        let view = Arc::new(View::of(&self.base, &said, patterns));
        *self.view.lock().unwrap_or_else(PoisonError::into_inner) = view;
    }

    /// Bytes that it takes, roughly: a letter takes a multiple of its text.
    pub(super) fn size(&self) -> usize {
        let pictures: usize = self.base.pictures.iter().map(|p| p.jpeg.len()).sum();
        let words = self.base.content.len() + 40 * self.base.seen.len();
        pictures + 12 * words + (16 << 10)
    }
}

impl View {
    fn of(base: &Text, said: &BTreeMap<usize, String>, patterns: &Patterns) -> Self {
        let words: Vec<Said> = said
            .iter()
            .filter_map(|(index, words)| {
                Some(Said {
                    span: base.doubts.get(*index)?.span,
                    words: words.clone(),
                })
            })
            .collect();
        let text = if words.is_empty() {
            base.clone()
        } else {
            crate::read::said(base.clone(), &words)
        };
        let Case { text, letter } = Case::of_corrected(text, patterns);
        // The doubts that are left stand in the same order in both texts.
        let left: Vec<usize> = (0..base.doubts.len())
            .filter(|n| !words.iter().any(|w| w.span.overlaps(base.doubts[*n].span)))
            .collect();
        let deciding = crate::understand::deciding_doubts(&letter, &text);
        let mut settle: Vec<usize> = text
            .doubts
            .iter()
            .zip(&left)
            .filter(|(d, _)| deciding.iter().any(|one| one.span == d.span))
            .filter(|(d, _)| text.ocr.iter().any(|o| o.overlaps(d.span)))
            .map(|(_, index)| *index)
            .chain(said.keys().copied())
            .collect();
        settle.sort_unstable();
        settle.dedup();
        settle.dedup_by_key(|n| base.doubts.get(*n).map(|d| d.span.start));
        Self {
            comparison: crate::compare::compare(&letter, &text, patterns),
            age: crate::compare::age(&letter, &text, patterns),
            interval: crate::answer::interval(&letter, &text.content, patterns).0,
            words: settle
                .into_iter()
                .filter_map(|n| word(base, n, said.get(&n)))
                .collect(),
            letter,
            text,
        }
    }

    /// Answers a question.
    pub(super) fn answer(&self, question: Question, patterns: &Patterns) -> Answered {
        crate::answer::answered(&self.letter, question, patterns)
    }

    /// What a report is made of.
    pub(super) fn report<'a>(
        &'a self,
        answered: &'a Answered,
        patterns: &'a Patterns,
    ) -> Report<'a> {
        Report {
            text: &self.text,
            letter: &self.letter,
            question: &answered.question,
            answers: &answered.answers,
            notes: &answered.notes,
            comparison: Some(&self.comparison),
            age: Some(&self.age),
            patterns,
        }
    }

    /// The facts that can still change the answer.
    pub(super) fn ask(&self, question: &Question, patterns: &Patterns) -> Vec<(Fact, Vec<String>)> {
        crate::answer::ask(&self.letter, question, patterns)
            .into_iter()
            .map(|ask| (ask.fact, ask.options))
            .collect()
    }

    /// The aircraft's year after an inspection of that day, as the facts tell it.
    pub(super) fn year(&self, inspected: Date, facts: &Facts, patterns: &Patterns) -> Year {
        crate::answer::year(
            inspected,
            facts.question.on,
            Some((&self.letter, &self.text)),
            &facts.year(&self.letter),
            patterns,
        )
    }

    /// A log entry held against the letter.
    pub(super) fn entry(
        &self,
        entry: &Text,
        question: &Question,
        patterns: &Patterns,
    ) -> EntryReport {
        crate::answer::entry(
            &self.letter,
            &self.text.content,
            &entry.content,
            question,
            patterns,
        )
    }

    /// When an inspection of that day runs out, by the letter's own interval.
    pub(super) fn due(&self, inspected: Date) -> (Vec<Due>, Interval) {
        let interval = self.interval.clone();
        (crate::answer::due(&[inspected], &interval), interval)
    }
}

/// A doubt with the line that it stands in.
fn word(base: &Text, index: usize, said: Option<&String>) -> Option<Word> {
    let mut doubt = base.doubts.get(index)?.clone();
    // A word can be doubtful twice: read weakly, and no word; what it may be stands with the second.
    if doubt.meant.is_none() {
        let mut same = base.doubts.iter().filter(|d| d.span == doubt.span);
        doubt.meant = same.find_map(|d| d.meant.clone());
    }
    let content = &base.content;
    let before = content.get(..doubt.span.start)?;
    let after = content.get(doubt.span.end..)?;
    let head = before.rsplit('\n').next().unwrap_or_default();
    let tail = after.split('\n').next().unwrap_or_default();
    Some(Word {
        index,
        read: doubt.span.of(content).to_owned(),
        line: (head.to_owned(), tail.to_owned()),
        said: said.cloned(),
        doubt,
    })
}
