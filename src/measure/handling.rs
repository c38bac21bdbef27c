//! Speed and height keeping.

use super::weights;
use crate::plan::Leg;
use crate::tasking::FlightTask;
use crate::track::Track;
use crate::track::motion::Motion;
use crate::units::{Length, Speed};
use serde::Serialize;
use std::ops::Range;

/// Ground speed and height over a time, weighted by time.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Handling {
    /// Seconds the figures rest on.
    pub duration_s: f64,
    /// Mean ground speed.
    #[serde(rename = "ground_speed_mean_mps")]
    pub ground_speed_mean: Speed,
    /// Standard deviation of ground speed.
    #[serde(rename = "ground_speed_sd_mps")]
    pub ground_speed_sd: Speed,
    /// Seconds with the ground speed outside its tolerance.
    pub ground_speed_outside_s: f64,
    /// Mean height as recorded; `None` if the log has no heights.
    #[serde(rename = "height_mean_m")]
    pub height_mean: Option<Length>,
    /// Standard deviation of height.
    #[serde(rename = "height_sd_m")]
    pub height_sd: Option<Length>,
    /// Lowest recorded height.
    #[serde(rename = "height_min_m")]
    pub height_min: Option<Length>,
    /// Highest recorded height.
    #[serde(rename = "height_max_m")]
    pub height_max: Option<Length>,
    /// Seconds outside the height tolerance; `None` if the tasking names no altitude or the log
    /// has no heights.
    pub height_outside_s: Option<f64>,
}

/// What to hold, and how closely.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Tasked ground speed.
    pub ground_speed: Speed,
    /// Tolerance about it.
    pub ground_speed_tolerance: Speed,
    /// Tasked altitude, of legs that have none of their own.
    pub altitude: Option<Length>,
    /// Tolerance about it.
    pub altitude_tolerance: Length,
}

impl Limits {
    /// Those of a tasking.
    #[must_use]
    pub const fn new(
        flight: &FlightTask,
        ground_speed_tolerance: Speed,
        altitude_tolerance: Length,
    ) -> Self {
        Self {
            ground_speed: flight.ground_speed,
            ground_speed_tolerance,
            altitude: flight.altitude,
            altitude_tolerance,
        }
    }
}

/// Fixes flown at one tasked altitude, which must not reach across a gap.
#[derive(Clone, Debug)]
pub struct Level {
    /// The fixes.
    pub fixes: Range<usize>,
    /// The altitude, if there is one.
    pub altitude: Option<Length>,
}

impl Limits {
    /// Fixes on a leg, or on none that is planned.
    #[must_use]
    pub fn level(&self, fixes: Range<usize>, leg: Option<&Leg>) -> Level {
        Level {
            fixes,
            altitude: leg.and_then(|leg| leg.altitude).or(self.altitude),
        }
    }
}

impl Handling {
    /// Figures over ranges of fixes; `None` if no time passed in them.
    #[must_use]
    pub fn of(levels: &[Level], track: &Track, motion: &Motion, limits: &Limits) -> Option<Self> {
        // Fix, seconds it stands for, and its altitude.
        let timed: Vec<(usize, f64, Option<Length>)> = levels
            .iter()
            .flat_map(|Level { fixes, altitude }| {
                fixes.clone().map(|i| {
                    let before = i.saturating_sub(1).max(fixes.start);
                    let after = (i + 1).min(fixes.end - 1);
                    let weight = (motion.time_s[after] - motion.time_s[before]) / 2.0;
                    (i, weight, *altitude)
                })
            })
            .collect();
        let speeds = || timed.iter().map(|(i, w, _)| (motion.speed_mps(*i), *w));
        let heights = || {
            timed
                .iter()
                .filter_map(|(i, w, _)| track.fixes[*i].height.map(|h| (h.m(), *w)))
        };
        let heights_off = || {
            timed.iter().filter_map(|(i, w, altitude)| {
                let height = track.fixes[*i].height.zip(*altitude);
                height.map(|(h, altitude)| (h.m() - altitude.m(), *w))
            })
        };
        let outside =
            |off: f64, tolerance: f64, w: f64| if off.abs() > tolerance { w } else { 0.0 };
        let speed_outside_s = speeds()
            .map(|(v, w)| {
                outside(
                    v - limits.ground_speed.mps(),
                    limits.ground_speed_tolerance.mps(),
                    w,
                )
            })
            .sum();
        let height_outside_s = heights_off().next().is_some().then(|| {
            heights_off()
                .map(|(off, w)| outside(off, limits.altitude_tolerance.m(), w))
                .sum()
        });
        let extreme =
            |pick: fn(f64, f64) -> f64| heights().map(|(h, _)| h).reduce(pick).map(Length::from_m);
        Some(Self {
            duration_s: timed.iter().map(|(_, w, _)| w).sum(),
            ground_speed_mean: Speed::from_mps(weights::mean(speeds())?),
            ground_speed_sd: Speed::from_mps(weights::standard_deviation(speeds())?),
            ground_speed_outside_s: speed_outside_s,
            height_mean: weights::mean(heights()).map(Length::from_m),
            height_sd: weights::standard_deviation(heights()).map(Length::from_m),
            height_min: extreme(f64::min),
            height_max: extreme(f64::max),
            height_outside_s,
        })
    }
}
