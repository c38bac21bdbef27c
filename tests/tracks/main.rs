//! Logs of several tracks and files: which are taken, how they are joined, which window of time, whose clock.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod choice;
mod clocks;
mod debriefed;
mod drawn_lines;
mod joining;
mod support;
mod window;
