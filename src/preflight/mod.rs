//! The arithmetic of a search before it is flown: where it may begin, how far and how long it goes,
//! what it would see, and how all that changes with the spacing, with the time there is and with the
//! latitude.
//!
//! Everything follows from a [`Tasking`](crate::tasking::Tasking) and its [`Plan`](crate::plan::Plan);
//! what another spacing or latitude would give is found by laying the tasking out again, not by a
//! formula.

pub mod effort;
pub mod expected;
pub mod figures;
pub mod in_time;
pub mod latitude;
mod relaid;
pub mod spacing;
pub mod starts;

pub use effort::Effort;
pub use expected::Expected;
pub use figures::{Axis, Extents, LegFigures};
pub use in_time::InTime;
pub use latitude::{LatitudeRow, Latitudes};
pub use relaid::Relaid;
pub use spacing::SpacingRow;
pub use starts::StartPoints;

use crate::plan::Plan;
use crate::tasking::Tasking;
use crate::units::Length;
use serde::Serialize;
use std::path::Path;

/// What is asked beyond what the tasking says.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Questions {
    /// POD to find the spacing for, more than 0 and less than 1; that of the tasking, else 0.5, 0.7,
    /// 0.8 and 0.9, if `None`.
    pub pod: Option<f64>,
    /// Time on scene to find the area for, seconds, more than 0.
    pub time_s: Option<f64>,
    /// How far outside the area and its corner the run to the first leg begins, 0 or more.
    pub corner_offset: Option<Length>,
}

/// The arithmetic beside a plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Preflight {
    /// The direction of the legs.
    pub axis: Axis,
    /// The area, measured along and across the legs.
    pub extents: Extents,
    /// The legs, their way and their time.
    pub legs: LegFigures,
    /// What the flight takes beside the way along the legs.
    pub effort: Effort,
    /// Where the search may begin.
    pub start_points: StartPoints,
    /// What the search would see.
    pub expected: Expected,
    /// The spacing that each law needs for a wanted POD, and what the search then is.
    pub spacings: Vec<SpacingRow>,
    /// What can be done in the time asked about; `None` if none was.
    pub in_time: Option<InTime>,
    /// The same area in degrees at other latitudes.
    pub latitudes: Latitudes,
}

/// Works out the arithmetic beside a plan. `tasking_path` is the file the plan was laid out from.
#[must_use]
pub fn preflight(
    tasking: &Tasking,
    tasking_path: &Path,
    plan: &Plan,
    questions: &Questions,
) -> Preflight {
    let axis = Axis::of(plan);
    let relay = relaid::Relay {
        tasking,
        tasking_path,
        plan,
        axis: &axis,
    };
    Preflight {
        extents: Extents::of(plan, &axis),
        legs: LegFigures::of(plan, tasking.flight.ground_speed),
        effort: effort::effort(tasking, plan, &axis),
        start_points: starts::start_points(tasking, plan, &axis, questions.corner_offset),
        expected: expected::expected(&tasking.detection, plan),
        spacings: spacing::spacings(&relay, questions.pod),
        in_time: questions
            .time_s
            .map(|time_s| in_time::in_time(&relay, time_s)),
        latitudes: latitude::latitudes(&relay),
        axis,
    }
}
