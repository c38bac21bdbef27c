//! What a page replays and shows, against the debrief it is made from.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod browser;
mod drawn;
mod figures;
mod growth;
#[path = "../support/samples.rs"]
mod samples;
