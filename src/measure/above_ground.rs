//! Height above the ground: the height recorded less that of the ground below, by leg and over the search.
//!
//! Time counts as in [`Handling`](super::Handling): each fix stands for half the way to its neighbours. It
//! is no better than both heights. Nothing is converted between what they are measured from
//! ([`HeightKind`]); what that may make is said beside the figures.

use super::{Flight, weights};
use crate::geodesy::Position;
use crate::matching::Matched;
use crate::measure::additional;
use crate::terrain::VerticalReference;
use crate::track::HeightKind;
use crate::units::Length;
use chrono::{DateTime, Utc};
use serde::Serialize;
use std::ops::Range;

/// Below this above the ground a remark is made. 500 ft is the least height of visual flight away from
/// congested areas in general rules (14 CFR 91.119, ICAO Annex 2; from memory); searches may be exempt.
pub const LOW: Length = Length::from_ft(500.0);

/// The lowest point of a time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Lowest {
    /// Height above the ground.
    #[serde(rename = "height_m")]
    pub height: Length,
    /// Where.
    pub position: Position,
    /// When.
    pub time: DateTime<Utc>,
}

/// Height above the ground over a time, weighted by time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Clearance {
    /// Seconds the figures rest on.
    pub duration_s: f64,
    /// Seconds without a recorded height or without a ground height.
    pub without_s: f64,
    /// Mean.
    #[serde(rename = "mean_m")]
    pub mean: Length,
    /// Not exceeded for 5 % of the time.
    #[serde(rename = "p5_m")]
    pub p5: Length,
    /// Not exceeded for 95 % of the time.
    #[serde(rename = "p95_m")]
    pub p95: Length,
    /// The lowest point.
    pub lowest: Lowest,
    /// Share of the time below the search height of the tasking; `None` if it names none.
    pub below_search_height: Option<f64>,
    /// Share of the time below [`LOW`].
    pub below_500_ft: f64,
}

/// A leg's height above the ground.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LegClearance {
    /// Label of the leg, planned or additional.
    pub leg: String,
    /// The figures; `None` where no height above the ground is known.
    pub clearance: Option<Clearance>,
}

/// Height above the ground of a sortie.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AboveGround {
    /// What the heights of the log are measured from.
    pub height_kind: HeightKind,
    /// What the ground heights are measured from.
    pub ground_references: Vec<VerticalReference>,
    /// Search height of the tasking, above the surface.
    #[serde(rename = "search_height_m")]
    pub search_height: Option<Length>,
    /// From the first leg to the last; `None` where no height above the ground is known.
    pub search: Option<Clearance>,
    /// Over all legs flown.
    pub on_legs: Option<Clearance>,
    /// Each leg flown: the planned ones in their order, then the additional ones.
    pub legs: Vec<LegClearance>,
    /// Fixes of the log without a tile below them.
    pub fixes_without_tile: usize,
    /// Fixes of the log above a void of a tile.
    pub fixes_in_void: usize,
}

impl AboveGround {
    /// Measures it; `None` if no terrain was given.
    #[must_use]
    pub fn measure(
        flight: Flight<'_>,
        matched: &Matched,
        window: Range<usize>,
        search_height: Option<Length>,
    ) -> Option<Self> {
        let Flight { track, plan, .. } = flight;
        let ground = track.ground.as_ref()?;
        let over = |ranges: &[Range<usize>]| Clearance::over(ranges, flight, search_height);
        let planned = plan.search_legs().filter_map(|(index, leg)| {
            let runs = matched.runs.iter().filter(|run| run.leg == index);
            let ranges: Vec<_> = runs.map(|run| run.on_leg.clone()).collect();
            (!ranges.is_empty()).then(|| LegClearance {
                leg: leg.label.clone(),
                clearance: over(&ranges),
            })
        });
        let additional = matched.additional.iter().enumerate();
        let additional = additional.map(|(index, fixes)| LegClearance {
            leg: additional::label(index),
            clearance: over(std::slice::from_ref(fixes)),
        });
        let legs = planned.chain(additional).collect();
        let runs = matched.runs.iter().map(|run| &run.on_leg);
        let on_legs: Vec<_> = runs.chain(&matched.additional).cloned().collect();
        let stretches = track.stretches.iter();
        let searched: Vec<_> = stretches
            .map(|stretch| stretch.start.max(window.start)..stretch.end.min(window.end))
            .filter(|part| !part.is_empty())
            .collect();
        Some(Self {
            height_kind: track.height_kind,
            ground_references: ground.references.clone(),
            search_height,
            search: over(&searched),
            on_legs: over(&on_legs),
            legs,
            fixes_without_tile: ground.without_tile,
            fixes_in_void: ground.in_void,
        })
    }
}

impl Clearance {
    /// Figures over ranges of fixes, none of which reaches across a gap.
    fn over(
        ranges: &[Range<usize>],
        flight: Flight<'_>,
        search_height: Option<Length>,
    ) -> Option<Self> {
        let Flight { track, motion, .. } = flight;
        let (mut known, mut without_s) = (Vec::new(), 0.0);
        for range in ranges {
            for fix in range.clone() {
                let before = fix.saturating_sub(1).max(range.start);
                let after = (fix + 1).min(range.end - 1);
                let weight_s = (motion.time_s[after] - motion.time_s[before]) / 2.0;
                match track.height_above_ground(fix) {
                    Some(height) => known.push((fix, height.m(), weight_s)),
                    None => without_s += weight_s,
                }
            }
        }
        let pairs = || {
            known
                .iter()
                .map(|(_, height_m, weight_s)| (*height_m, *weight_s))
        };
        let below = |limit: Length| {
            weights::mean(pairs().map(|(h, w)| (f64::from(u8::from(h < limit.m())), w)))
        };
        let (lowest, height_m, _) = known.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
        Some(Self {
            duration_s: pairs().map(|(_, weight_s)| weight_s).sum(),
            without_s,
            mean: Length::from_m(weights::mean(pairs())?),
            p5: Length::from_m(weights::quantile(pairs(), 0.05)?),
            p95: Length::from_m(weights::quantile(pairs(), 0.95)?),
            lowest: Lowest {
                height: Length::from_m(*height_m),
                position: track.fixes[*lowest].position,
                time: track.fixes[*lowest].time,
            },
            below_search_height: search_height.and_then(below),
            below_500_ft: below(LOW)?,
        })
    }
}
