//! Values from outside, each with its source beside it.

mod cross_track;
mod geometry;
mod magnetic;
mod pod;
