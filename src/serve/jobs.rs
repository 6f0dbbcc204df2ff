//! What was handed over: jobs that wait, are read, or are done.
//!
//! Jobs that are done are kept until they are too many; then the one that nobody has looked at for
//! the longest time goes. Jobs that wait or are read never go.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;

use tokio::sync::watch;

use super::held::Held;
use super::surveyed::Surveyed;
use super::upload;
use crate::read::Stop;

/// Jobs that are kept.
const MOST: usize = 300;
/// Bytes, roughly, that they may take together.
const BYTES: usize = 160 << 20;
/// Seconds after which a letter goes that nobody looks at: a working day.
const AGE: u64 = 10 * 3600;
/// Jobs that may wait.
const QUEUE: usize = 2000;

/// What one upload became.
#[derive(Debug)]
pub(super) struct Job {
    pub(super) id: u64,
    /// Names of the files, for the page that waits.
    pub(super) names: Vec<String>,
    /// Ends the reading.
    pub(super) stop: Stop,
    status: watch::Sender<Status>,
    looked: AtomicU64,
    /// When somebody looked last, in seconds since the first could come.
    second: AtomicU64,
}

/// How far it is.
#[derive(Clone, Debug)]
pub(super) enum Status {
    /// Others are before it.
    Waiting,
    /// Pictures read, pictures to read; 0 of 0 while nobody knows.
    Reading(u32, u32),
    Done(Arc<Outcome>),
    /// Why nothing came of it.
    Failed(String),
}

impl Status {
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
    /// Whether its pages take more than a moment to make.
    pub(super) fn is_large(&self) -> bool {
        let long = |held: &Held| held.base().content.len() > upload::LONG;
        match self {
            Self::Letter(held) => long(held),
            Self::Two(both) => long(&both.0) || long(&both.1),
            Self::Many(_) => false,
        }
    }

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
    pub(super) fn status(&self) -> Status {
        self.status.borrow().clone()
    }

    pub(super) fn watch(&self) -> watch::Receiver<Status> {
        self.status.subscribe()
    }

    /// What is over stays as it is: a job that was forgotten does not come back.
    pub(super) fn set(&self, status: Status) {
        self.status.send_if_modified(|now| {
            let goes_on = !now.is_over();
            if goes_on {
                *now = status;
            }
            goes_on
        });
    }

    /// Nobody wants it any more.
    fn end(&self) {
        self.stop.stop();
        self.status
            .send_replace(Status::Failed("It was forgotten.".to_owned()));
    }
}

/// What is known of a number.
#[derive(Debug)]
pub(super) enum Found {
    Here(Arc<Job>),
    /// It was here.
    Gone,
    /// It never was.
    Never,
}

/// All jobs by number.
#[derive(Debug)]
pub(super) struct Jobs {
    jobs: BTreeMap<u64, Arc<Job>>,
    last: u64,
    clock: AtomicU64,
    begun: Instant,
}

impl Default for Jobs {
    fn default() -> Self {
        Self {
            jobs: BTreeMap::new(),
            last: 0,
            clock: AtomicU64::new(0),
            begun: Instant::now(),
        }
    }
}

impl Jobs {
    /// A new job; `None` where too many wait.
    pub(super) fn add(&mut self, names: Vec<String>) -> Option<Arc<Job>> {
        let open = self.jobs.values().filter(|j| !j.status().is_over()).count();
        if open >= QUEUE {
            return None;
        }
        self.last += 1;
        let job = Arc::new(Job {
            id: self.last,
            names,
            stop: Stop::default(),
            status: watch::Sender::new(Status::Waiting),
            looked: AtomicU64::new(self.tick()),
            second: AtomicU64::new(self.seconds()),
        });
        self.jobs.insert(job.id, Arc::clone(&job));
        Some(job)
    }

    pub(super) fn find(&self, id: u64) -> Found {
        match self.jobs.get(&id) {
            Some(job) => {
                job.looked.store(self.tick(), Ordering::Relaxed);
                job.second.store(self.seconds(), Ordering::Relaxed);
                Found::Here(Arc::clone(job))
            }
            None if (1..=self.last).contains(&id) => Found::Gone,
            None => Found::Never,
        }
    }

    /// Lets a job go; what is being read is read no further.
    pub(super) fn forget(&mut self, id: u64) {
        if let Some(job) = self.jobs.remove(&id) {
            job.end();
        }
    }

    /// How many are before this one.
    pub(super) fn before(&self, id: u64) -> usize {
        self.jobs
            .range(..id)
            .filter(|(_, j)| !j.status().is_over())
            .count()
    }

    /// Makes room: called when a job is done, and now and then.
    pub(super) fn clean_up(&mut self) {
        self.age(self.seconds());
        let mut done: Vec<(u64, u64, usize)> = self
            .jobs
            .values()
            .filter_map(|job| {
                let size = match job.status() {
                    Status::Done(outcome) => outcome.size(),
                    Status::Failed(_) => 1024,
                    Status::Waiting | Status::Reading(..) => return None,
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

    /// Lets go of what is done and nobody has looked at for [`AGE`].
    fn age(&mut self, now: u64) {
        self.jobs.retain(|_, job| {
            let since = now.saturating_sub(job.second.load(Ordering::Relaxed));
            since < AGE || !job.status().is_over()
        });
    }

    fn seconds(&self) -> u64 {
        self.begun.elapsed().as_secs()
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
        let mut jobs = Jobs::default();
        for _ in 0..MOST + 2 {
            let job = jobs.add(Vec::new()).expect("room");
            job.set(Status::Failed(String::new()));
        }
        let waits = jobs.add(Vec::new()).expect("room");
        assert!(matches!(jobs.find(1), Found::Here(_)));
        jobs.clean_up();
        assert!(matches!(jobs.find(1), Found::Here(_)));
        assert!(matches!(jobs.find(2), Found::Gone));
        assert!(matches!(jobs.find(3), Found::Gone));
        assert!(matches!(jobs.find(4), Found::Here(_)));
        assert!(matches!(jobs.find(waits.id), Found::Here(_)));
        assert!(matches!(jobs.find(99_999), Found::Never));
    }

    #[test]
    fn what_is_done_goes_with_age_and_what_is_forgotten_is_stopped() {
        let mut jobs = Jobs::default();
        let done = jobs.add(Vec::new()).expect("room");
        done.set(Status::Failed(String::new()));
        let read = jobs.add(Vec::new()).expect("room");
        jobs.age(AGE - 1);
        assert!(matches!(jobs.find(done.id), Found::Here(_)));
        jobs.age(AGE);
        assert!(matches!(jobs.find(done.id), Found::Gone));
        assert!(matches!(jobs.find(read.id), Found::Here(_)));
        jobs.forget(read.id);
        assert!(read.stop.is_set());
        read.set(Status::Reading(1, 2));
        assert!(read.status().is_over());
    }
}
