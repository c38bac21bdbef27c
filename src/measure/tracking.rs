//! Cross-track error over a stretch of leg.

use super::passage::Sample;
use super::weights;
use crate::geodesy::Position;
use crate::track::Track;
use crate::units::Length;
use chrono::{DateTime, Utc};
use serde::Serialize;

/// Cross-track error (XTE) statistics, weighted by distance flown along the leg.
/// XTE is positive right of the leg in the direction flown.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tracking {
    /// Distance along the leg that the figures rest on.
    #[serde(rename = "length_m")]
    pub length: Length,
    /// Mean XTE: the bias, right positive.
    #[serde(rename = "xte_mean_m")]
    pub mean: Length,
    /// Standard deviation about the mean.
    #[serde(rename = "xte_sd_m")]
    pub sd: Length,
    /// Root mean square.
    #[serde(rename = "xte_rms_m")]
    pub rms: Length,
    /// |XTE| not exceeded over 95 % of the distance.
    #[serde(rename = "xte_p95_m")]
    pub p95: Length,
    /// The XTE largest in size, with its sign.
    #[serde(rename = "xte_max_m")]
    pub max: Length,
    /// Where the largest was: distance from the leg's planned start.
    #[serde(rename = "xte_max_along_m")]
    pub max_along: Length,
    /// Where the largest was.
    pub max_position: Position,
    /// When the largest was.
    pub max_time: DateTime<Utc>,
    /// Share of the distance within the cross-track tolerance, 0 to 1.
    pub within_tolerance: f64,
}

/// Stretches of samples, each without interruption, flown on one leg.
pub(super) type Stretches<'a> = [&'a [Sample]];

impl Tracking {
    /// Statistics over stretches of samples; `None` if no distance was flown in them.
    ///
    /// Each fix stands for half the way along the leg to its neighbours, so that neither the
    /// recording rate nor a change of speed sways the figures.
    pub(super) fn of(stretches: &Stretches<'_>, tolerance: Length, track: &Track) -> Option<Self> {
        let weighted = || stretches.iter().flat_map(|samples| with_distance(samples));
        let length_m: f64 = weighted().map(|(_, w)| w).sum();
        let cross = || weighted().map(|(s, w)| (s.cross_m, w));
        let mean = weights::mean(cross())?;
        let sd = weights::standard_deviation(cross())?;
        let p95 = weights::quantile(cross().map(|(x, w)| (x.abs(), w)), 0.95)?;
        let within = weights::mean(
            cross().map(|(x, w)| (f64::from(u8::from(x.abs() <= tolerance.m())), w)),
        )?;
        let (worst, _) =
            weighted().max_by(|a, b| a.0.cross_m.abs().total_cmp(&b.0.cross_m.abs()))?;
        Some(Self {
            length: Length::from_m(length_m),
            mean: Length::from_m(mean),
            sd: Length::from_m(sd),
            rms: Length::from_m(mean.hypot(sd)),
            p95: Length::from_m(p95),
            max: Length::from_m(worst.cross_m),
            max_along: Length::from_m(worst.along_m),
            max_position: track.fixes[worst.fix()].position,
            max_time: track.fixes[worst.fix()].time,
            within_tolerance: within,
        })
    }
}

/// Each sample with half the way along the leg to its neighbours, metres.
fn with_distance(samples: &[Sample]) -> impl Iterator<Item = (&Sample, f64)> + Clone {
    samples.iter().enumerate().map(|(i, sample)| {
        let to = |other: Option<&Sample>| {
            other.map_or(0.0, |o| (o.along_m - sample.along_m).abs() / 2.0)
        };
        let before = i.checked_sub(1).and_then(|b| samples.get(b));
        (sample, to(before) + to(samples.get(i + 1)))
    })
}
