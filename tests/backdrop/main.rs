//! Raster maps below the map: where they come to lie, what is read of them, and what is refused.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod averaged;
mod formats;
#[path = "../support/judge.rs"]
#[allow(dead_code, reason = "one sample is enough here")]
mod judge;
mod made;
mod mbtiles;
mod placed;
mod read_by_others;
mod refused;
mod report;
#[path = "../support/samples.rs"]
#[allow(dead_code, reason = "one sample is enough here")]
mod samples;
mod world_files;
