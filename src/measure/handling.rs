//! Speed and height keeping.

use crate::units::{Length, Speed};
use serde::Serialize;

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
