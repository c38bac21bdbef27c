//! A pattern found, as a tasking would lay it.

use super::value::{Estimate, Layout};
use crate::geodesy::Position;
use crate::plan::PatternKind;
use crate::tasking::Side;
use crate::units::Length;

/// What of [`Inferred`](super::Inferred) is geometry; the fields are described there.
pub(super) struct Laid {
    pub(super) pattern: PatternKind,
    pub(super) first_course_deg: Estimate<f64>,
    pub(super) turn: Side,
    pub(super) size: Estimate<Length>,
    pub(super) legs: u32,
    pub(super) not_flown: Vec<u32>,
    pub(super) start: Position,
    pub(super) start_along_within: Length,
    pub(super) start_across_within: Length,
    pub(super) leg_length: Option<Estimate<Length>>,
    pub(super) leg_length_scatter: Option<Length>,
    pub(super) scatter: Length,
    pub(super) in_order: bool,
    pub(super) layout: Layout,
}
