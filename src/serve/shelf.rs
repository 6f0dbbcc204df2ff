//! What was handed over: jobs that wait, are read, or are done.
//!
//! Jobs that are done are kept until the shelf is full; then the one that nobody has looked at for
//! the longest time goes. Jobs that wait or are read never go.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use tokio::sync::watch;

use super::held::Held;
use super::surveyed::Surveyed;

/// Jobs that are kept.
const MOST: usize = 300;
/// Bytes, roughly, that they may take together.
const BYTES: usize = 160 << 20;
/// Jobs that may wait.
const QUEUE: usize = 2000;

/// What one upload became.
#[derive(Debug)]
pub(super) struct Job {
    pub(super) id: u64,
    /// Names of the files, for the page that waits.
    pub(super) names: Vec<String>,
    state: watch::Sender<State>,
    looked: AtomicU64,
}

/// How far it is.
#[derive(Clone, Debug)]
pub(super) enum State {
    /// Others are before it.
    Waiting,
    /// Pictures read, pictures to read; 0 of 0 while nobody knows.
    Reading(u32, u32),
    Done(Arc<Outcome>),
    /// Why nothing came of it.
    Failed(String),
}

impl State {
    pub(super) const fn is_over(&self) -> bool {
        matches!(self, Self::Done(_) | Self::Failed(_))
    }
}

/// What came of it.
#[derive(Debug)]
pub(super) enum Outcome {
    Letter(Box<Held>),
    /// An older and a newer letter.
    Two(Box<(Held, Held)>),
    /// A survey.
    Many(Box<Surveyed>),
}

impl Outcome {
    /// Bytes that it takes, roughly.
    fn size(&self) -> usize {
        match self {
            Self::Letter(held) => held.size(),
            Self::Many(survey) => survey.size(),
            Self::Two(both) => both.0.size() + both.1.size(),
        }
    }
}

impl Job {
    pub(super) fn state(&self) -> State {
        self.state.borrow().clone()
    }

    pub(super) fn watch(&self) -> watch::Receiver<State> {
        self.state.subscribe()
    }

    pub(super) fn set(&self, state: State) {
        self.state.send_replace(state);
    }
}

/// What the shelf knows of a number.
#[derive(Debug)]
pub(super) enum Found {
    Here(Arc<Job>),
    /// It was here.
    Gone,
    /// It never was.
    Never,
}

/// All jobs by number.
#[derive(Debug, Default)]
pub(super) struct Shelf {
    jobs: BTreeMap<u64, Arc<Job>>,
    last: u64,
    clock: AtomicU64,
}

impl Shelf {
    /// A new job; `None` where too many wait.
    pub(super) fn add(&mut self, names: Vec<String>) -> Option<Arc<Job>> {
        let open = self.jobs.values().filter(|j| !j.state().is_over()).count();
        if open >= QUEUE {
            return None;
        }
        self.last += 1;
        let job = Arc::new(Job {
            id: self.last,
            names,
            state: watch::Sender::new(State::Waiting),
            looked: AtomicU64::new(self.tick()),
        });
        self.jobs.insert(job.id, Arc::clone(&job));
        Some(job)
    }

    pub(super) fn find(&self, id: u64) -> Found {
        match self.jobs.get(&id) {
            Some(job) => {
                job.looked.store(self.tick(), Ordering::Relaxed);
                Found::Here(Arc::clone(job))
            }
            None if (1..=self.last).contains(&id) => Found::Gone,
            None => Found::Never,
        }
    }

    pub(super) fn forget(&mut self, id: u64) {
        self.jobs.remove(&id);
    }

    /// How many are before this one.
    pub(super) fn before(&self, id: u64) -> usize {
        self.jobs
            .range(..id)
            .filter(|(_, j)| !j.state().is_over())
            .count()
    }

    /// Makes room: called when a job is done.
    pub(super) fn tidy(&mut self) {
        let mut done: Vec<(u64, u64, usize)> = self
            .jobs
            .values()
            .filter_map(|job| {
                let size = match job.state() {
                    State::Done(outcome) => outcome.size(),
                    State::Failed(_) => 1024,
                    State::Waiting | State::Reading(..) => return None,
                };
                Some((job.looked.load(Ordering::Relaxed), job.id, size))
            })
            .collect();
        done.sort_unstable();
        let mut bytes: usize = done.iter().map(|(_, _, size)| size).sum();
        let mut count = done.len();
        for (_, id, size) in done {
            // the last one stays, however large
            if count <= 1 || count <= MOST && bytes <= BYTES {
                return;
            }
            self.jobs.remove(&id);
            bytes -= size;
            count -= 1;
        }
    }

    fn tick(&self) -> u64 {
        self.clock.fetch_add(1, Ordering::Relaxed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_one_not_looked_at_for_longest_goes() {
        let mut shelf = Shelf::default();
        for _ in 0..MOST + 2 {
            let job = shelf.add(Vec::new()).expect("room");
            job.set(State::Failed(String::new()));
        }
        let waits = shelf.add(Vec::new()).expect("room");
        assert!(matches!(shelf.find(1), Found::Here(_)));
        shelf.tidy();
        assert!(matches!(shelf.find(1), Found::Here(_)));
        assert!(matches!(shelf.find(2), Found::Gone));
        assert!(matches!(shelf.find(3), Found::Gone));
        assert!(matches!(shelf.find(4), Found::Here(_)));
        assert!(matches!(shelf.find(waits.id), Found::Here(_)));
        assert!(matches!(shelf.find(99_999), Found::Never));
    }
}
