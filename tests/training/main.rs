//! Training review: simulated pilots with known habits are told what they are, and steady ones are told nothing.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "../support/mod.rs"]
mod support;

mod command;
mod habits;
mod pilots;
mod statistics;
