//! How the legs were flown: ground speed, height, day.

use super::runs::{Flown, Run};
use crate::track::Track;
use crate::units::{Length, Speed};
use chrono::NaiveDate;
use serde::Serialize;

/// Share of the fixes below the lower and above the upper height told. Chosen.
const TAIL: f64 = 0.05;

/// How the legs of a pattern were flown.
#[derive(Clone, Debug, Serialize)]
pub struct Handled {
    /// Ground speed along the legs: length by time.
    #[serde(rename = "ground_speed_mps")]
    pub ground_speed: Speed,
    /// Of single legs, slowest and fastest.
    #[serde(rename = "ground_speeds_mps")]
    pub ground_speeds: (Speed, Speed),
    /// Median height along the legs.
    #[serde(rename = "altitude_m")]
    pub altitude: Option<Length>,
    /// Heights between which nine of ten fixes on the legs lie.
    #[serde(rename = "altitudes_m")]
    pub altitudes: Option<(Length, Length)>,
    /// Day (UTC) of the first fix on a leg.
    pub date: NaiveDate,
}

/// Along these runs, of which there is at least one.
pub(super) fn along(runs: &[&Run], flown: &Flown, track: &Track) -> Handled {
    let (mut way_m, mut time_s) = (0.0, 0.0);
    let mut speeds: Vec<f64> = Vec::new();
    for run in runs {
        // Where a run was broken off and taken up, the way between is none of it.
        let (mut own_m, mut own_s) = (0.0, 0.0);
        for piece in &run.pieces {
            let (a, b) = (piece.start, piece.end - 1);
            own_m += super::runs::size(flown.xy[b] - flown.xy[a]);
            own_s += flown.time_s[b] - flown.time_s[a];
        }
        way_m += own_m;
        time_s += own_s;
        if own_s > 0.0 {
            speeds.push(own_m / own_s);
        }
    }
    let slowest = speeds.iter().copied().fold(f64::INFINITY, f64::min);
    let fastest = speeds.iter().copied().fold(0.0, f64::max);
    let mut heights: Vec<f64> = runs
        .iter()
        .flat_map(|run| run.fixes())
        .filter_map(|fix| track.fixes[fix].height.get())
        .map(Length::m)
        .collect();
    heights.sort_by(f64::total_cmp);
    let at = |share: f64| {
        let last = heights.len().checked_sub(1)?;
        Some(Length::from_m(
            heights[(share * last as f64).round() as usize],
        ))
    };
    let first = runs.iter().map(|run| run.first()).min().unwrap_or(0);
    Handled {
        ground_speed: Speed::from_mps(way_m / time_s),
        ground_speeds: (Speed::from_mps(slowest), Speed::from_mps(fastest)),
        altitude: at(0.5),
        altitudes: at(TAIL).zip(at(1.0 - TAIL)),
        date: track.fixes[first].time.date_naive(),
    }
}
