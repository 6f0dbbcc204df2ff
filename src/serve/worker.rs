//! Reads what was handed over, a few letters at a time.

use std::sync::{Arc, Mutex, PoisonError};

use tokio::sync::OwnedSemaphorePermit;

use super::held::Held;
use super::jobs::{Job, Outcome, Status};
use super::state::{AppState, blocking, jobs};
use super::surveyed::Surveyed;
use super::upload::{Given, Upload};
use crate::read::{Limits, Progress};
use crate::report::words;

/// Waits for its turn, reads, and keeps the outcome. The room that the bytes took is
/// given back when they are gone.
pub(super) async fn work(
    app: Arc<AppState>,
    job: Arc<Job>,
    upload: Upload,
    room: OwnedSemaphorePermit,
) {
    let lane = if matches!(upload, Upload::Many(_)) {
        &app.large
    } else if upload.is_slow() {
        &app.slow
    } else if upload.is_large() {
        &app.large
    } else {
        &app.quick
    };
    let mut watch = job.watch();
    let turn = tokio::select! {
        // never closed
        turn = lane.acquire() => turn,
        // forgotten before its turn
        _ = watch.wait_for(Status::is_over) => return,
    };
    job.set(Status::Reading(0, 0));
    let (here, this) = (Arc::clone(&app), Arc::clone(&job));
    let read = blocking(move || read(&here, &this, upload)).await;
    drop(turn);
    drop(room);
    job.set(match read {
        Some(Ok(outcome)) => Status::Done(Arc::new(outcome)),
        Some(Err(why)) => Status::Failed(why),
        // It panicked, or no thread was to be had; nothing of the letter is said.
        None => Status::Failed(
            "The reader broke down on this letter. Try it again, as plain text, or as a PDF made \
             anew."
                .to_owned(),
        ),
    });
    jobs(&app).clean_up();
}

fn read(app: &AppState, job: &Arc<Job>, upload: Upload) -> Result<Outcome, String> {
    match upload {
        Upload::Letter(files) => Ok(Outcome::Letter(Box::new(letter(app, job, files)?))),
        Upload::Many(files) => {
            let this = Arc::clone(job);
            let tell = move |done, all| this.set(Status::Reading(done, all));
            let survey = Surveyed::of(files, app, &job.stop, &tell)?;
            Ok(Outcome::Many(Box::new(survey)))
        }
        Upload::Two(old, new) => Ok(Outcome::Two(Box::new((
            letter(app, job, old)?,
            letter(app, job, new)?,
        )))),
    }
}

/// Reads one letter.
fn letter(app: &AppState, job: &Arc<Job>, files: Vec<Given>) -> Result<Held, String> {
    let this = Arc::clone(job);
    let count = Mutex::new(Count::new(files.len()));
    let limits = Limits {
        progress: Some(Progress::new(move |done, all| {
            let mut count = count.lock().unwrap_or_else(PoisonError::into_inner);
            let (done, all) = count.told(done, all);
            this.set(Status::Reading(done, all));
        })),
        stop: Some(job.stop.clone()),
        ..app.limits.clone()
    };
    let text =
        crate::read::read_held(files, &limits).map_err(|e| words::sentence(&e.to_string()))?;
    let text = crate::read::correct(text, &app.patterns);
    Ok(Held::new(text, &app.patterns))
}

/// Pages of all files, from what is told file by file.
struct Count {
    /// Files that were not begun; each has a page at least.
    left: u32,
    /// Pages of the files that are done.
    before: u32,
    /// What was told last.
    last: (u32, u32),
}

impl Count {
    fn new(files: usize) -> Self {
        Self {
            left: u32::try_from(files).unwrap_or(u32::MAX),
            before: 0,
            last: (1, 0),
        }
    }

    fn told(&mut self, done: u32, all: u32) -> (u32, u32) {
        if done == 0 && self.last.0 > 0 {
            self.left = self.left.saturating_sub(1);
            self.before += self.last.1;
        }
        self.last = (done, all);
        (self.before + done, self.before + all + self.left)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_of_several_files_are_counted_together() {
        let mut count = Count::new(3);
        assert_eq!(count.told(0, 1), (0, 3));
        assert_eq!(count.told(1, 1), (1, 3));
        assert_eq!(count.told(0, 2), (1, 4));
        assert_eq!(count.told(0, 2), (1, 4));
        assert_eq!(count.told(1, 2), (2, 4));
        assert_eq!(count.told(2, 2), (3, 4));
        assert_eq!(count.told(0, 1), (3, 4));
        assert_eq!(count.told(1, 1), (4, 4));
    }
}
