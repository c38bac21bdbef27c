//! Cross-track error over a stretch of leg.

use crate::geodesy::Position;
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
