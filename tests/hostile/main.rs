//! Files made to do harm: the corpora of the fuzz targets and mutants of them, bombs, masses and depths, with
//! the memory that reading them takes. Nothing may panic, hang or take more than docs/robustness.md allows.
//!
//! Memory is counted for the whole process, so the tests take turns.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod bombs;
mod broken;
mod corpus;
mod drawn_lines;
#[path = "../fuzz/feeds.rs"]
mod feeds;
mod gathered;
mod ground;
mod limits;
#[path = "../backdrop/made.rs"]
#[allow(dead_code, reason = "the tests of backdrops use the rest")]
mod made;
#[path = "../fuzz/memory.rs"]
mod memory;
mod names;
mod numbers;
mod round_trips;
mod seeds;
#[path = "../support/mod.rs"]
mod support;
#[path = "../terrain/tiles.rs"]
#[allow(dead_code, reason = "the tests of terrain use the rest")]
mod tiles;

use std::sync::{Mutex, MutexGuard, PoisonError};

static TURN: Mutex<()> = Mutex::new(());

/// Waits for one's turn.
fn turn() -> MutexGuard<'static, ()> {
    TURN.lock().unwrap_or_else(PoisonError::into_inner)
}
