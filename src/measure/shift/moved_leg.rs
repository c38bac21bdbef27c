//! How each leg was tracked about the pattern as it was flown.

use super::Recognised;
use crate::measure::Flight;
use crate::measure::intervals::{Interval, sum, total, union};
use crate::units::Length;
use serde::Serialize;

/// Fixes closer in time are not all looked at, seconds.
const STEP_S: f64 = 1.0;

/// A planned leg about the pattern as it was flown.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MovedLeg {
    /// Label of the planned leg.
    pub leg: String,
    /// Share of its length that was flown straight.
    pub flown_share: f64,
    /// Mean XTE, right in the direction flown positive; `None` if the leg was not recognised.
    #[serde(rename = "xte_mean_m")]
    pub mean: Option<Length>,
    /// Root mean square.
    #[serde(rename = "xte_rms_m")]
    pub rms: Option<Length>,
    /// XTE largest in size, with its sign.
    #[serde(rename = "xte_max_m")]
    pub max: Option<Length>,
}

/// All legs of the pattern, and the root mean square of the XTE over those recognised.
pub(super) fn moved_legs(flight: Flight<'_>, recognised: &Recognised) -> (Vec<MovedLeg>, Length) {
    let Recognised { pattern, fit, .. } = recognised;
    let moved = &fit.guess.moved;
    let (mut squares, mut count) = (0.0, 0usize);
    let legs = pattern
        .legs
        .iter()
        .enumerate()
        .map(|(number, leg)| {
            let mut flown: Vec<Interval> = Vec::new();
            let mut xte: Vec<f64> = Vec::new();
            for line in fit.measured.iter().filter(|line| line.leg == number) {
                let sign = if line.reversed { -1.0 } else { 1.0 };
                let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
                let mut last_s = f64::NEG_INFINITY;
                for fix in line.fixes.clone() {
                    let time_s = flight.motion.time_s[fix];
                    if time_s - last_s < STEP_S && fix + 1 != line.fixes.end {
                        continue;
                    }
                    last_s = time_s;
                    let at = flight.motion.xy[fix] - recognised.about;
                    let (along_m, right_m) = leg.locate(moved.to_plan(at, time_s));
                    (low, high) = (low.min(along_m), high.max(along_m));
                    xte.push(sign * right_m);
                }
                flown.push((low.max(0.0), high.min(leg.length_m)));
            }
            squares += sum(xte.iter().map(|x| x * x));
            count += xte.len();
            let over_all = |total: f64| Length::from_m(total / xte.len() as f64);
            let any = !xte.is_empty();
            MovedLeg {
                leg: flight.plan.legs[leg.index].label.clone(),
                flown_share: total(&union(flown)) / leg.length_m,
                mean: any.then(|| over_all(sum(xte.iter().copied()))),
                rms: any
                    .then(|| Length::from_m(over_all(sum(xte.iter().map(|x| x * x))).m().sqrt())),
                max: xte
                    .iter()
                    .copied()
                    .max_by(|a, b| a.abs().total_cmp(&b.abs()))
                    .map(Length::from_m),
            }
        })
        .collect();
    (legs, Length::from_m((squares / count.max(1) as f64).sqrt()))
}
