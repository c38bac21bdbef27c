//! What cleaning leaves alone, what it finds, and that nothing is lost by it.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod found;
mod ground;
mod left_alone;
mod nothing_lost;
#[path = "../support/mod.rs"]
mod support;
mod way;
