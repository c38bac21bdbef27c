//! Logs and planned lines written in every format, and read back.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod command;
mod lines;
mod others;
mod round_trip;
mod support;
