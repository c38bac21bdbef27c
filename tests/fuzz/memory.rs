//! How much memory a feed takes, against what its bytes may cost.

use super::feeds::{feed, most_memory};
use peak_alloc::PeakAlloc;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// Feeds these bytes.
///
/// # Panics
/// If the reader takes more memory than it may, or panics.
pub fn bounded(name: &str, bytes: &[u8]) {
    let before = MEMORY.current_usage();
    MEMORY.reset_peak_usage();
    feed(name, bytes);
    let taken = MEMORY.peak_usage().saturating_sub(before);
    let most = most_memory(name, bytes.len());
    assert!(
        taken <= most,
        "{name}: {} bytes took {taken} bytes of memory, {most} is the most",
        bytes.len()
    );
}
