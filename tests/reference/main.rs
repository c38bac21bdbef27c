//! Values from outside, each with its source beside it.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod areas;
mod cross_track;
mod geometry;
mod lines;
mod magnetic;
mod map_planes;
mod montecarlo;
mod patterns;
mod pod;
mod preflight;
mod readers;
mod search_theory;
mod sweep_width;
mod thinning;
