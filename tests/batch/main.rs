//! Many sorties at once: as each alone, whatever the threads, once only, through kills, and none stops another.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::expect_used,
    reason = "a test fails by panicking"
)]

mod bad;
mod broken_off;
mod command;
mod disk;
mod field;
mod folder;
mod manifest;
mod memory;
mod read_back;
mod same;
mod tables;
