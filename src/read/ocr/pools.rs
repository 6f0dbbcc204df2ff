//! Pools of one thread each, over which jobs are spread.

use std::sync::Arc;

use rten::ThreadPool;

pub(super) use crate::threads::spread;

/// So many pools of one thread each: two lines side by side are read faster than one by two threads.
pub(super) fn single(count: usize) -> Vec<Arc<ThreadPool>> {
    (0..count.max(1))
        .map(|_| Arc::new(ThreadPool::with_num_threads(1)))
        .collect()
}
