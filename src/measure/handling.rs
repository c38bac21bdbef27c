//! Speed and height keeping.

use super::weights::Sum;
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
        let timed = || {
            levels.iter().flat_map(|Level { fixes, altitude }| {
                fixes.clone().map(|i| {
                    let before = i.saturating_sub(1).max(fixes.start);
                    let after = (i + 1).min(fixes.end - 1);
                    let weight = (motion.time_s[after] - motion.time_s[before]) / 2.0;
                    (i, weight, *altitude)
                })
            })
        };
        let height_m = |fix: usize| track.fixes[fix].height.get().map(Length::m);
        let (mut speeds, mut heights) = (Sum::default(), Sum::default());
        let (mut lowest_m, mut highest_m) = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut speed_outside_s, mut height_outside_s) = (0.0, None);
        for (fix, seconds, altitude) in timed() {
            let speed_mps = motion.speed_mps(fix);
            speeds.add(speed_mps, seconds);
            let off_mps = speed_mps - limits.ground_speed.mps();
            if off_mps.abs() > limits.ground_speed_tolerance.mps() {
                speed_outside_s += seconds;
            }
            let Some(height_m) = height_m(fix) else {
                continue;
            };
            heights.add(height_m, seconds);
            lowest_m = lowest_m.min(height_m);
            highest_m = highest_m.max(height_m);
            if let Some(altitude) = altitude {
                let outside_s = height_outside_s.get_or_insert(0.0);
                if (height_m - altitude.m()).abs() > limits.altitude_tolerance.m() {
                    *outside_s += seconds;
                }
            }
        }
        let speed_mps = speeds.mean()?;
        let mean_height_m = heights.mean();
        // How far they are from their means takes a second look.
        let (mut speeds_off, mut heights_off) = (Sum::default(), Sum::default());
        for (fix, seconds, _) in timed() {
            speeds_off.add((motion.speed_mps(fix) - speed_mps).powi(2), seconds);
            if let Some((height_m, mean_m)) = height_m(fix).zip(mean_height_m) {
                heights_off.add((height_m - mean_m).powi(2), seconds);
            }
        }
        let known = |height_m: f64| height_m.is_finite().then(|| Length::from_m(height_m));
        Some(Self {
            duration_s: speeds.weight,
            ground_speed_mean: Speed::from_mps(speed_mps),
            ground_speed_sd: Speed::from_mps(speeds_off.mean()?.sqrt()),
            ground_speed_outside_s: speed_outside_s,
            height_mean: mean_height_m.map(Length::from_m),
            height_sd: heights_off.mean().map(|off| Length::from_m(off.sqrt())),
            height_min: known(lowest_m),
            height_max: known(highest_m),
            height_outside_s,
        })
    }
}
