//! Jobs spread over threads.

use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::channel;

/// The stack of a thread in bytes, as large as a main thread's: sentences are read on it.
const STACK: usize = 8 << 20;

/// How many threads this machine runs at once.
pub(crate) fn cores() -> usize {
    // the system has to read several files to tell it
    static CORES: OnceLock<usize> = OnceLock::new();
    *CORES.get_or_init(|| std::thread::available_parallelism().map_or(1, usize::from))
}

/// What the job makes of each number below `count`, in their order. Each worker takes the next number
/// as soon as it is free; the first is this thread, and where no other is to be had, it does the work.
pub(crate) fn spread<W: Sync, T: Send>(
    workers: &[W],
    count: usize,
    job: impl Fn(usize, &W) -> T + Sync,
) -> Vec<T> {
    let Some((first, others)) = workers.split_first() else {
        return Vec::new();
    };
    let others = &others[..others.len().min(count.saturating_sub(1))];
    if others.is_empty() {
        return (0..count).map(|n| job(n, first)).collect();
    }
    let next = AtomicUsize::new(0);
    let (to, from) = channel();
    let work = |worker: &W, to: std::sync::mpsc::Sender<(usize, T)>| {
        loop {
            let n = next.fetch_add(1, Ordering::Relaxed);
            if n >= count || to.send((n, job(n, worker))).is_err() {
                return;
            }
        }
    };
    std::thread::scope(|scope| {
        for worker in others {
            let (to, work) = (to.clone(), &work);
            let thread = std::thread::Builder::new().stack_size(STACK);
            let _ = thread.spawn_scoped(scope, move || work(worker, to));
        }
        work(first, to);
    });
    let mut done: Vec<(usize, T)> = from.iter().collect();
    done.sort_by_key(|(n, _)| *n);
    done.into_iter().map(|(_, made)| made).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_made_comes_in_the_order_of_the_numbers() {
        for workers in [1, 2, 7] {
            for count in [0, 1, 50] {
                let made = spread(&vec![(); workers], count, |n, ()| n * n);
                assert_eq!(made, (0..count).map(|n| n * n).collect::<Vec<_>>());
            }
        }
    }
}
