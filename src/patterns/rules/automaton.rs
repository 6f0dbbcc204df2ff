//! Phrases as a minimal acyclic automaton: rows of words that go on alike share what follows.

use std::hash::Hash;

use rustc_hash::FxHashMap;

use super::rows::Rows;
use crate::patterns::phrase::{PhraseSet, Token};
use crate::patterns::tables::{Table, stored};

/// Phrases with what they mean, matched at a token; nothing can be added.
#[derive(Clone, Debug)]
pub(crate) struct Automaton<V: Clone + 'static> {
    /// The words that lead on from each state, in order of their numbers.
    words: Rows<u16>,
    /// The state behind each of them.
    behind: Table<u16>,
    /// What is complete at each state: the place in `meanings`, from 1; 0 for nothing.
    complete: Table<u16>,
    /// The meanings of a phrase.
    meanings: Rows<V>,
    /// The state before the first word.
    start: u16,
}

stored!(Automaton<V> { words, behind, complete, meanings, start });

impl<V: Clone> Default for Automaton<V> {
    fn default() -> Self {
        Self {
            words: Rows::default(),
            behind: Table::default(),
            complete: Table::default(),
            meanings: Rows::default(),
            start: 0,
        }
    }
}

/// What is complete at a state, and where words lead from it: states that agree in both are one.
type Form = (u16, Vec<(u16, u16)>);

impl<V: Clone + Eq + Hash> Automaton<V> {
    /// The smallest automaton of these phrases.
    ///
    /// # Errors
    /// A sentence, where they have more words, states or meanings than can be numbered.
    pub(crate) fn of(phrases: PhraseSet<Vec<V>>) -> Result<Self, String> {
        let (edges, ends) = phrases.into_tree();
        let mut made = Self::default();
        let mut meanings: FxHashMap<Vec<V>, u16> = FxHashMap::default();
        let mut next: Vec<Vec<(u16, u32)>> = vec![Vec::new(); ends.len()];
        #[expect(
            clippy::iter_over_hash_type,
            reason = "what leads from a node is sorted below"
        )]
        for ((from, word), to) in edges {
            next[from as usize].push((numbered(word as usize)?, to));
        }
        let mut states: FxHashMap<Form, u16> = FxHashMap::default();
        let mut state_of = vec![0u16; ends.len()];
        // nodes come before those that they lead to
        for (node, end) in ends.into_iter().enumerate().rev() {
            let count = numbered(made.meanings.len() + 1)?;
            let complete = end.map_or(0, |meaning| {
                *meanings.entry(meaning).or_insert_with_key(|meaning| {
                    made.meanings.push(meaning.iter().cloned());
                    count
                })
            });
            let mut leads: Vec<(u16, u16)> = std::mem::take(&mut next[node])
                .into_iter()
                .map(|(word, to)| (word, state_of[to as usize]))
                .collect();
            leads.sort_unstable();
            let new = numbered(states.len())?;
            state_of[node] =
                *states
                    .entry((complete, leads))
                    .or_insert_with_key(|(complete, leads)| {
                        made.complete.to_mut().push(*complete);
                        made.words.push(leads.iter().map(|(word, _)| *word));
                        made.behind.to_mut().extend(leads.iter().map(|(_, to)| *to));
                        new
                    });
        }
        made.start = state_of.first().copied().unwrap_or_default();
        Ok(made)
    }
}

impl<V: Clone> Automaton<V> {
    /// Every phrase that starts at token `at`, shortest first: the index one past its last token,
    /// and its meanings.
    pub(crate) fn all_at<'s>(
        &'s self,
        tokens: &'s [Token],
        at: usize,
    ) -> impl Iterator<Item = (usize, &'s [V])> + 's {
        let mut state = (self.words.len() > 0).then_some(self.start);
        let mut i = at;
        std::iter::from_fn(move || {
            loop {
                let here = self.step(state?, tokens.get(i)?.word);
                state = here;
                i += 1;
                let complete = self.complete.get(usize::from(here?)).copied()?;
                if let Some(meaning) = complete.checked_sub(1) {
                    return Some((i, self.meanings.row(usize::from(meaning))));
                }
            }
        })
    }

    fn step(&self, state: u16, word: u32) -> Option<u16> {
        let state = usize::from(state);
        let words = self.words.row(state);
        let at = words.binary_search(&u16::try_from(word).ok()?).ok()?;
        self.behind.get(self.words.begin(state) + at).copied()
    }
}

/// A number as it is kept.
fn numbered(n: usize) -> Result<u16, String> {
    u16::try_from(n).map_err(|_| {
        format!(
            "these phrases have more than {} words, beginnings or meanings",
            u16::MAX
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::patterns::phrase::Lexicon;

    #[test]
    fn phrases_share_what_follows() {
        let mut lexicon = Lexicon::default();
        let mut set: PhraseSet<Vec<u8>> = PhraseSet::default();
        for (phrase, meaning) in [("(a|the|any) mechanic [or shop]", 1), ("mechanic", 2)] {
            set.add_with(&mut lexicon, phrase, |held| {
                held.get_or_insert_default().push(meaning);
            })
            .unwrap();
        }
        let automaton = Automaton::of(set).unwrap();
        // before and behind the article, behind "mechanic" (twice: it means two things), "or", "shop"
        assert_eq!(automaton.complete.len(), 6);
        let tokens = lexicon.tokens("any mechanic or shop and a mechanic");
        let at = |n| automaton.all_at(&tokens, n).collect::<Vec<_>>();
        assert_eq!(at(0), [(2, [1].as_slice()), (4, [1].as_slice())]);
        assert_eq!(at(1), [(2, [2].as_slice())]);
        assert_eq!(at(4), []);
        assert_eq!(at(5), [(7, [1].as_slice())]);
    }
}
