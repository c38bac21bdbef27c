//! Legs flown in addition to the planned ones, measured.

use super::flight::Flight;
use super::handling::{Handling, Limits};
use crate::geodesy::{LegInPlane, Position};
use crate::matching::Matched;
use crate::matching::phases::path_m;
use crate::matching::straight;
use crate::track::motion::Motion;
use crate::units::{Bearing, Length};
use chrono::{DateTime, Utc};
use serde::Serialize;

/// A planned leg is named beside an additional one up to this many spacings away.
const NEAREST_SPACINGS: f64 = 2.0;
/// A straight run inside the area on no planned leg.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AdditionalLeg {
    /// `A1`, `A2`, … in the order flown.
    pub label: String,
    /// Its beginning.
    pub entered: DateTime<Utc>,
    /// Its end.
    pub left: DateTime<Utc>,
    /// Where it begins.
    pub start: Position,
    /// Where it ends.
    pub end: Position,
    /// Distance flown on it.
    #[serde(rename = "length_m")]
    pub length: Length,
    /// True course from its start to its end, at the start.
    #[serde(rename = "course_true_deg")]
    pub course: Bearing,
    /// The nearest planned search leg parallel to it, if any lies within two spacings.
    pub nearest_leg: Option<String>,
    /// Mean distance from that leg: the spacing achieved beside it.
    #[serde(rename = "spacing_achieved_m")]
    pub spacing_achieved: Option<Length>,
    /// Speed and height.
    pub handling: Handling,
}

/// Reports on the additional legs.
#[must_use]
pub fn additional_legs(
    flight: Flight<'_>,
    matched: &Matched,
    limits: &Limits,
) -> Vec<AdditionalLeg> {
    let Flight {
        track,
        motion,
        plan,
        frames,
    } = flight;
    matched
        .additional
        .iter()
        .enumerate()
        .filter_map(|(i, fixes)| {
            let (first, last) = (fixes.start, fixes.end - 1);
            let (start, end) = (track.fixes[first], track.fixes[last]);
            let nearest = straight::nearest_leg(fixes, motion, plan, frames)
                .filter(|(_, away_m)| *away_m <= NEAREST_SPACINGS * plan.spacing.m());
            Some(AdditionalLeg {
                label: label(i),
                entered: start.time,
                left: end.time,
                start: start.position,
                end: end.position,
                length: Length::from_m(path_m(&motion.xy[fixes.clone()])),
                course: crate::geodesy::geodesic::between(start.position, end.position)
                    .course_at_start,
                nearest_leg: nearest.map(|(index, _)| plan.legs[index].label.clone()),
                spacing_achieved: nearest
                    .map(|(index, _)| mean_distance(fixes, motion, &frames[index])),
                handling: Handling::of(
                    &[limits.level(fixes.clone(), None)],
                    track,
                    motion,
                    limits,
                )?,
            })
        })
        .collect()
}

/// Label of the additional leg flown as number `index`, from 0.
#[must_use]
pub fn label(index: usize) -> String {
    format!("A{}", index + 1)
}

fn mean_distance(fixes: &std::ops::Range<usize>, motion: &Motion, frame: &LegInPlane) -> Length {
    let sum: f64 = fixes
        .clone()
        .map(|i| frame.locate(motion.xy[i]).cross_m.abs())
        .sum();
    Length::from_m(sum / fixes.len() as f64)
}
