//! The sums beside a plan: distances and times leg by leg.

use super::{LegKind, Plan};
use crate::geodesy::{Position, geodesic};
use crate::units::{Bearing, Length, Speed};
use serde::Serialize;

/// One row of the leg table.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LegRow {
    /// Label of the leg.
    pub label: String,
    /// Search leg or cross-leg.
    pub kind: LegKind,
    /// Where it begins.
    pub start: Position,
    /// Where it ends.
    pub end: Position,
    /// True course at its start.
    #[serde(rename = "course_true_deg")]
    pub course: Bearing,
    /// Magnetic course at its start, degrees; `None` without a declination.
    pub course_magnetic_deg: Option<f64>,
    /// Height to fly it at, where the leg has one of its own.
    #[serde(rename = "altitude_m")]
    pub altitude: Option<Length>,
    /// Its length.
    #[serde(rename = "length_m")]
    pub length: Length,
    /// Distance from the start of the pattern to its end.
    #[serde(rename = "cumulative_m")]
    pub cumulative: Length,
    /// Seconds it takes at the planned ground speed.
    pub duration_s: f64,
    /// Seconds from the start of the pattern to its end.
    pub cumulative_s: f64,
}

/// The leg table of a plan at a ground speed.
#[must_use]
pub fn leg_table(plan: &Plan, ground_speed: Speed) -> Vec<LegRow> {
    let mut cumulative_m = 0.0;
    plan.legs
        .iter()
        .map(|leg| {
            cumulative_m += leg.length.m();
            LegRow {
                label: leg.label.clone(),
                kind: leg.kind,
                start: leg.start,
                end: leg.end,
                course: leg.course,
                course_magnetic_deg: plan
                    .declination
                    .as_ref()
                    .map(|declination| declination.magnetic_from_true(leg.course)),
                altitude: leg.altitude,
                length: leg.length,
                cumulative: Length::from_m(cumulative_m),
                duration_s: leg.length.m() / ground_speed.mps(),
                cumulative_s: cumulative_m / ground_speed.mps(),
            }
        })
        .collect()
}

/// Distance from the aircraft's base to the start of the pattern and from its end back.
#[must_use]
pub fn transit(plan: &Plan, base: Position) -> Option<(Length, Length)> {
    let (first, last) = (plan.legs.first()?, plan.legs.last()?);
    Some((
        geodesic::distance(base, first.start),
        geodesic::distance(last.end, base),
    ))
}
