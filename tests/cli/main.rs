//! The command as its user meets it: exit codes, streams, files, and what is said about bad input.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod also;
mod area_refusals;
mod debrief;
mod files;
mod flown_again;
mod pattern_refusals;
mod plan;
mod refly_refusals;
mod refusals;
mod search_reports;
mod support;
