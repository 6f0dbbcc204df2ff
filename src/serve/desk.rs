//! Reads what was handed over, a few letters at a time.

use std::sync::Arc;

use tokio::sync::OwnedSemaphorePermit;

use super::House;
use super::held::Held;
use super::shelf::{Job, Outcome, State};
use super::upload::{Given, Upload};
use crate::read::{Limits, Progress};

/// Waits for its turn, reads, and puts the outcome on the shelf. The room that the bytes took is
/// given back when they are gone.
pub(super) async fn work(
    house: Arc<House>,
    job: Arc<Job>,
    upload: Upload,
    room: OwnedSemaphorePermit,
) {
    let lane = if upload.is_slow() {
        &house.slow
    } else {
        &house.quick
    };
    // never closed
    let turn = lane.acquire().await;
    job.set(State::Reading(0, 0));
    let (here, this) = (Arc::clone(&house), Arc::clone(&job));
    let read = tokio::task::spawn_blocking(move || read(&here, &this, upload)).await;
    drop(turn);
    drop(room);
    job.set(match read {
        Ok(Ok(outcome)) => State::Done(Arc::new(outcome)),
        Ok(Err(why)) => State::Failed(why),
        // It panicked; nothing of the letter is said.
        Err(_) => State::Failed(
            "The reader broke down on this letter. Try it as plain text, or as a PDF made anew."
                .to_owned(),
        ),
    });
    super::shelf(&house).tidy();
}

fn read(house: &House, job: &Arc<Job>, upload: Upload) -> Result<Outcome, String> {
    match upload {
        Upload::Letter(files) => Ok(Outcome::Letter(Box::new(letter(house, job, files)?))),
        Upload::Two(old, new) => Ok(Outcome::Two(Box::new((
            letter(house, job, old)?,
            letter(house, job, new)?,
        )))),
    }
}

/// Reads one letter.
fn letter(house: &House, job: &Arc<Job>, files: Vec<Given>) -> Result<Held, String> {
    let this = Arc::clone(job);
    let limits = Limits {
        progress: Some(Progress::new(move |done, all| {
            this.set(State::Reading(done, all));
        })),
        ..house.limits.clone()
    };
    let text = crate::read::read_held(files, &limits).map_err(|e| e.to_string())?;
    let text = crate::read::mend(text, &house.patterns);
    Ok(Held::new(text, &house.patterns))
}
