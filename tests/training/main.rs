//! Training review: simulated pilots with known habits are told what they are, and steady ones are told nothing.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

#[path = "../support/mod.rs"]
mod support;

mod class;
mod command;
mod habits;
#[path = "../support/judge.rs"]
mod judge;
mod pilots;
mod statistics;
