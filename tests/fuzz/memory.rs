//! How much memory a feed takes, against what its bytes may cost.

use super::feeds::{feed, most_memory};
use peak_alloc::PeakAlloc;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// The most memory that was held at once beyond what was held before, bytes; and what came of it.
pub fn taken_by<T>(work: impl FnOnce() -> T) -> (usize, T) {
    let before = MEMORY.current_usage();
    MEMORY.reset_peak_usage();
    let result = work();
    (MEMORY.peak_usage().saturating_sub(before), result)
}

/// Feeds these bytes.
///
/// # Panics
/// If the reader takes more memory than it may, or panics.
pub fn bounded(name: &str, bytes: &[u8]) {
    let (taken, ()) = taken_by(|| feed(name, bytes));
    let most = most_memory(name, bytes.len());
    assert!(
        taken <= most,
        "{name}: {} bytes took {taken} bytes of memory, {most} is the most",
        bytes.len()
    );
}
