//! Ground heights from tiles made here: surfaces known by formula, read back between their samples.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod debriefed;
mod geotiff;
mod hgt;
mod refused;
#[path = "../support/mod.rs"]
mod support;
mod tiles;
