//! An index of texts that clauses are looked up in: candidates by an inverted index, similarity by
//! weighted words.

use rustc_hash::FxHashMap as HashMap;
use std::sync::Arc;

use super::content::{Bag, Moved, Vocabulary, body, shared};
use crate::patterns::{Cut, Loaded, Patterns, WordingFile};
use crate::understand::topics::of_text;

/// A text of the index.
#[derive(Debug)]
struct Entry {
    probe: Probe,
    /// Its topics, for a wording.
    topics: Vec<String>,
    /// Nothing can be said about words that the text lacks at an end that is cut.
    cut: bool,
}

/// The words of all wordings held, worked out once for all indexes.
#[derive(Debug)]
struct Wordings {
    /// In the order of the wordings.
    bags: Vec<Bag>,
    /// The topics of each: that of its file, and those that its words have.
    topics: Vec<Vec<String>>,
    vocabulary: Arc<Vocabulary>,
    moved: Arc<Moved>,
}

impl Wordings {
    fn new(patterns: &Patterns) -> Self {
        let moved = Moved::of(patterns);
        let mut vocabulary = Vocabulary::default();
        let bags: Vec<Bag> = patterns
            .wording
            .iter()
            .map(|wording| Bag::of(body(&wording.file.text), &moved))
            .collect();
        for bag in &bags {
            vocabulary.count(bag);
        }
        let topics = patterns.wording.iter().map(|wording| {
            let mut topics = of_text(body(&wording.file.text), patterns);
            if !topics.contains(&wording.file.topic) {
                topics.push(wording.file.topic.clone());
            }
            topics
        });
        Self {
            topics: topics.collect(),
            bags,
            vocabulary: Arc::new(vocabulary),
            moved: Arc::new(moved),
        }
    }

    fn of(patterns: &Patterns) -> Arc<Self> {
        patterns
            .once(|| Arc::new(Self::new(patterns)))
            .map_or_else(|| Arc::new(Self::new(patterns)), Arc::clone)
    }
}

/// Works out the words of all wordings held, where that has not been done.
pub(crate) fn make_ready(patterns: &Patterns) {
    let _ = Wordings::of(patterns);
}

/// Texts to be looked up in.
#[derive(Debug)]
pub(super) struct Index {
    vocabulary: Arc<Vocabulary>,
    moved: Arc<Moved>,
    entries: Vec<Entry>,
    /// For each feature the entries that have it; only looked up, never walked through.
    postings: HashMap<u64, Vec<u32>>,
}

/// A text made ready for lookups.
#[derive(Debug)]
pub(super) struct Probe {
    bag: Bag,
    mass: f64,
    exact_mass: f64,
}

impl Probe {
    fn new(mut bag: Bag, vocabulary: &Vocabulary) -> Self {
        vocabulary.weigh(&mut bag);
        Self {
            mass: bag.mass(),
            exact_mass: bag.exact_mass(),
            bag,
        }
    }
}

/// A candidate with its similarity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Candidate {
    /// Index in the index.
    pub(super) entry: usize,
    /// 0 to 1.
    pub(super) similarity: f64,
    /// The similarity, and what the topics that both have add to it.
    pub(super) likeness: f64,
    /// The part of the probe's weight that the entry has too.
    pub(super) of_probe: f64,
    /// The part of the entry's weight that the probe has too.
    pub(super) of_entry: f64,
}

/// How many candidates of a clause are looked at closely.
const CLOSE_LOOK: usize = 24;

impl Index {
    /// An index of texts. How rare words are is learnt from all wordings held, from the texts
    /// themselves and from the texts that will be looked up.
    pub(super) fn of_texts<'t>(
        texts: impl IntoIterator<Item = &'t str>,
        looked_up: impl IntoIterator<Item = &'t str>,
        patterns: &Patterns,
    ) -> Self {
        let all = Wordings::of(patterns);
        let mut vocabulary = Vocabulary::clone(&all.vocabulary);
        let bag = |text| Bag::of(text, &all.moved);
        let bags: Vec<Bag> = texts.into_iter().map(bag).collect();
        for bag in &bags {
            vocabulary.count(bag);
        }
        for text in looked_up {
            vocabulary.count(&bag(text));
        }
        let bags = bags.into_iter().map(|b| (b, Vec::new(), false));
        Self::of_bags(bags, Arc::new(vocabulary), Arc::clone(&all.moved))
    }

    /// An index of reference wordings, without their clause numbers.
    pub(super) fn of_wordings(held: &[&Loaded<WordingFile>], patterns: &Patterns) -> Self {
        let all = Wordings::of(patterns);
        let mut next = held.iter().peekable();
        // Those held are a part of all, in the same order.
        let bags = patterns
            .wording
            .iter()
            .zip(all.bags.iter().zip(&all.topics))
            .filter_map(|(wording, (bag, topics))| {
                next.next_if(|w| std::ptr::eq(**w, wording))
                    .map(|_| (bag.clone(), topics.clone(), wording.file.cut != Cut::Whole))
            });
        Self::of_bags(bags, Arc::clone(&all.vocabulary), Arc::clone(&all.moved))
    }

    fn of_bags(
        bags: impl IntoIterator<Item = (Bag, Vec<String>, bool)>,
        vocabulary: Arc<Vocabulary>,
        moved: Arc<Moved>,
    ) -> Self {
        let mut postings: HashMap<u64, Vec<u32>> = HashMap::default();
        let mut entries = Vec::new();
        for (n, (bag, topics, cut)) in (0..).zip(bags) {
            for feature in &bag.meaning {
                postings.entry(feature.id).or_default().push(n);
            }
            entries.push(Entry {
                probe: Probe::new(bag, &vocabulary),
                topics,
                cut,
            });
        }
        Self {
            vocabulary,
            moved,
            entries,
            postings,
        }
    }

    /// The topics of a wording that the index has.
    pub(super) fn topics(&self, entry: usize) -> &[String] {
        self.entries.get(entry).map_or(&[], |e| &e.topics)
    }

    /// Makes a clause without its number ready.
    pub(super) fn probe(&self, text: &str) -> Probe {
        Probe::new(Bag::of(text, &self.moved), &self.vocabulary)
    }

    /// The entries that share words with the probe, most similar first; at most a few dozen.
    pub(super) fn candidates(&self, probe: &Probe) -> Vec<Candidate> {
        if probe.mass <= 0.0 {
            return Vec::new();
        }
        let mut sums = vec![0.0; self.entries.len()];
        for feature in &probe.bag.meaning {
            for entry in self.postings.get(&feature.id).into_iter().flatten() {
                if let Some(sum) = sums.get_mut(*entry as usize) {
                    *sum += feature.weight;
                }
            }
        }
        let mut rough: Vec<(f64, usize)> = sums
            .into_iter()
            .zip(&self.entries)
            .enumerate()
            .filter(|(_, (sum, _))| *sum > 0.0)
            .map(|(n, (sum, entry))| (sum / (entry.probe.mass + probe.mass), n))
            .collect();
        rough.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        rough.truncate(CLOSE_LOOK);
        let mut close: Vec<Candidate> = rough
            .into_iter()
            .filter_map(|(_, n)| self.look(probe, n))
            .collect();
        close.sort_by(|a, b| {
            b.similarity
                .total_cmp(&a.similarity)
                .then(a.entry.cmp(&b.entry))
        });
        close
    }

    /// How similar a probe and an entry are.
    pub(super) fn look(&self, probe: &Probe, n: usize) -> Option<Candidate> {
        let entry = self.entries.get(n)?;
        let share = |shared: f64, of: f64| {
            if of > 0.0 {
                (shared / of).min(1.0)
            } else {
                0.0
            }
        };
        let common = shared(&probe.bag.meaning, &entry.probe.bag.meaning);
        let exact = shared(&probe.bag.exact, &entry.probe.bag.exact);
        let both = |common: f64, a: f64, b: f64| {
            let dice = share(2.0 * common, a + b);
            if entry.cut {
                // What is held of the wording counts for more than what is not.
                dice.max(0.3 * dice + 0.65 * share(common, b))
            } else {
                dice
            }
        };
        let meaning = both(common, probe.mass, entry.probe.mass);
        let exact = both(exact, probe.exact_mass, entry.probe.exact_mass);
        let similarity = 0.75 * meaning + 0.25 * exact;
        Some(Candidate {
            entry: n,
            similarity,
            likeness: similarity,
            of_probe: share(common, probe.mass),
            of_entry: share(common, entry.probe.mass),
        })
    }

    /// The part of the weight of `words` that stands in `other` too; 1 for words without weight.
    pub(super) fn share(&self, words: &str, other: &str) -> f64 {
        let (words, other) = (self.probe(words), self.probe(other));
        if words.mass > 0.0 {
            shared(&words.bag.meaning, &other.bag.meaning) / words.mass
        } else {
            1.0
        }
    }

    /// How similar two entries are in content.
    pub(super) fn between(&self, a: usize, b: usize) -> f64 {
        let (Some(a), Some(b)) = (self.entries.get(a), self.entries.get(b)) else {
            return 0.0;
        };
        let mass = a.probe.mass + b.probe.mass;
        if mass <= 0.0 {
            return 0.0;
        }
        2.0 * shared(&a.probe.bag.meaning, &b.probe.bag.meaning) / mass
    }
}
