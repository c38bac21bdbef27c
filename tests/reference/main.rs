//! Values from outside, each with its source beside it.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod cross_track;
mod geometry;
mod magnetic;
mod pod;
