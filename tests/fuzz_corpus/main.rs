//! The corpora of the fuzz targets and mutants of them, through the same feeds as when fuzzing: every one
//! ends without a panic and within its memory.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

#[path = "../fuzz/feeds.rs"]
mod feeds;
#[path = "../fuzz/memory.rs"]
mod memory;
mod seeds;
#[path = "../support/mod.rs"]
mod support;

use seeds::seeds;
use std::path::{Path, PathBuf};

fn corpus(feed: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fuzz/corpus")
        .join(feed)
}

/// Writes the seeds: `cargo test --test fuzz_corpus -- --ignored`.
#[test]
#[ignore = "writes files"]
fn write_seeds() {
    for (feed, name, content) in seeds() {
        std::fs::create_dir_all(corpus(feed)).unwrap();
        std::fs::write(corpus(feed).join(format!("seed-{name}")), content).unwrap();
    }
}
