//! Logs as KML, KMZ, GeoJSON and tables: exact values, and whatever is broken in them ends with an error or a
//! ledger entry that names the place; never with a panic.
//!
//! Facts are those of OGC KML 2.3 (12-007r2) and 2.2 (07-147r2), RFC 7946 (GeoJSON), RFC 8259 (JSON),
//! RFC 4180 (comma-separated values); inputs were made by hand.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod drawn_lines;
mod geojson;
mod kml;
mod kmz;
mod mutated;
mod support;
mod table;
mod written;
