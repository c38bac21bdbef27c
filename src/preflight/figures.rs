//! A plan in figures: direction and extents, legs, way and time.

use super::effort::SEARCH_SHARE;
use crate::plan::axes::{Axes, extent};
use crate::plan::{LegKind, Plan};
use crate::units::{Bearing, Length, Speed};
use serde::Serialize;

/// Within this angle of each other, either way along, legs count as parallel. Chosen: legs that are
/// parallel on the ground turn against each other by their convergence, far less than this in any
/// area that can be tasked below 80° of latitude.
const PARALLEL_WITHIN_DEG: f64 = 3.0;

/// The direction of the legs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Axis {
    /// True course of the first search leg, as seen from the middle of the area.
    #[serde(rename = "course_true_deg")]
    pub course: Bearing,
    /// The same from magnetic north, degrees; `None` without a declination.
    pub course_magnetic_deg: Option<f64>,
    /// Whether all search legs are parallel to it.
    pub parallel: bool,
}

impl Axis {
    /// The axis of a plan; north where it has no legs.
    #[must_use]
    pub fn of(plan: &Plan) -> Self {
        let courses: Vec<Bearing> = plan
            .search_legs()
            .map(|(_, leg)| {
                let run = plan.frame.forward(leg.end) - plan.frame.forward(leg.start);
                Bearing::from_deg(run.x.atan2(run.y).to_degrees())
            })
            .collect();
        let course = courses.first().copied().unwrap_or_default();
        Self {
            course,
            course_magnetic_deg: magnetic(plan, course),
            parallel: courses.iter().all(|other| {
                let apart = course.turn_to(*other).abs();
                apart.min(180.0 - apart) <= PARALLEL_WITHIN_DEG
            }),
        }
    }

    /// Axes of the local plane along it; `v` is positive to the right.
    #[must_use]
    pub fn axes(&self) -> Axes {
        Axes::new(self.course, 1.0)
    }
}

/// A true course from magnetic north, by the declination of the plan.
pub(super) fn magnetic(plan: &Plan, course: Bearing) -> Option<f64> {
    plan.declination
        .as_ref()
        .map(|declination| declination.magnetic_from_true(course))
}

/// What the area measures.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Extents {
    /// Along the legs.
    #[serde(rename = "along_m")]
    pub along: Length,
    /// Across the legs.
    #[serde(rename = "across_m")]
    pub across: Length,
    /// Its size, square metres.
    pub area_m2: f64,
}

impl Extents {
    /// The extents of a plan's area.
    #[must_use]
    pub fn of(plan: &Plan, axis: &Axis) -> Self {
        let axes = axis.axes();
        let ring = || {
            let ring = plan.area.polygon().exterior();
            ring.coords().map(|xy| axes.to_uv(*xy))
        };
        let (back, front) = extent(ring().map(|uv| uv.0));
        let (left, right) = extent(ring().map(|uv| uv.1));
        Self {
            along: Length::from_m(front - back),
            across: Length::from_m(right - left),
            area_m2: plan.area.square_metres(),
        }
    }
}

/// Legs, way and time of a plan.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LegFigures {
    /// Search legs.
    pub search_legs: usize,
    /// The shortest of them.
    #[serde(rename = "shortest_leg_m")]
    pub shortest: Length,
    /// The longest of them.
    #[serde(rename = "longest_leg_m")]
    pub longest: Length,
    /// Cross-legs.
    pub cross_legs: usize,
    /// Way along search legs.
    #[serde(rename = "search_m")]
    pub search: Length,
    /// Way along cross-legs.
    #[serde(rename = "cross_m")]
    pub cross: Length,
    /// Both together.
    #[serde(rename = "total_m")]
    pub total: Length,
    /// Time for that at the planned ground speed, seconds; turns and anything else not counted.
    pub time_s: f64,
    /// Time on scene with the published allowance, seconds: `time_s` is 85 % of it.
    pub on_scene_s: f64,
}

impl LegFigures {
    /// The figures of a plan flown at a ground speed.
    #[must_use]
    pub fn of(plan: &Plan, ground_speed: Speed) -> Self {
        let lengths_m = |kind: LegKind| -> Vec<f64> {
            let of_kind = plan.legs.iter().filter(|leg| leg.kind == kind);
            of_kind.map(|leg| leg.length.m()).collect()
        };
        let (search, cross) = (lengths_m(LegKind::Search), lengths_m(LegKind::Cross));
        let (search_m, cross_m): (f64, f64) = (search.iter().sum(), cross.iter().sum());
        let time_s = (search_m + cross_m) / ground_speed.mps();
        let (shortest, longest) = extent(search.iter().copied());
        Self {
            search_legs: search.len(),
            shortest: Length::from_m(shortest),
            longest: Length::from_m(longest),
            cross_legs: cross.len(),
            search: Length::from_m(search_m),
            cross: Length::from_m(cross_m),
            total: Length::from_m(search_m + cross_m),
            time_s,
            on_scene_s: time_s / SEARCH_SHARE,
        }
    }
}
