//! The logbook: what is put in comes out, once, whole or not at all, and as a GeoPackage; what is no logbook is refused.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::expect_used,
    reason = "a test fails by panicking"
)]

mod bad;
mod command;
mod content;
mod geopackage;
mod made;
#[path = "../support/mod.rs"]
mod support;
mod twice;
mod versions;
mod whole;
