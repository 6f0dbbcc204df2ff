//! Jobs spread over threads of one core each.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::channel;

use rten::ThreadPool;

/// So many pools of one thread each: two lines side by side are read faster than one by two threads.
pub(super) fn single(count: usize) -> Vec<Arc<ThreadPool>> {
    (0..count.max(1))
        .map(|_| Arc::new(ThreadPool::with_num_threads(1)))
        .collect()
}

/// What the job makes of each number below `count`, in their order; each pool takes the next
/// number as soon as it is free.
pub(super) fn spread<T: Send>(
    pools: &[Arc<ThreadPool>],
    count: usize,
    job: impl Fn(usize, &Arc<ThreadPool>) -> T + Sync,
) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let (to, from) = channel();
    std::thread::scope(|scope| {
        for pool in pools {
            let (to, next, job) = (to.clone(), &next, &job);
            scope.spawn(move || {
                loop {
                    let n = next.fetch_add(1, Ordering::Relaxed);
                    if n >= count || to.send((n, job(n, pool))).is_err() {
                        return;
                    }
                }
            });
        }
    });
    drop(to);
    let mut done: Vec<(usize, T)> = from.iter().collect();
    done.sort_by_key(|(n, _)| *n);
    done.into_iter().map(|(_, made)| made).collect()
}
