//! Plans inferred from flights of which the truth is known.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

#[path = "../support/mod.rs"]
mod support;
mod flown;
mod try_out;
