//! The files of a debrief for other programs: what those programs read in them, and what the schema says.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod fixes;
mod flights;
#[path = "../support/judge.rs"]
mod judge;
mod layers;
mod read_back;
#[path = "../support/samples.rs"]
mod samples;
mod schema;
#[path = "../support/mod.rs"]
mod support;
