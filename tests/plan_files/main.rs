//! The files of a plan, read back: by crates that know nothing of this program, and by its own readers.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod maps;
mod sheet;
mod support;
