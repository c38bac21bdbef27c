//! Wind and true airspeed from ground velocities: at a steady airspeed they lie on a circle whose
//! centre is the wind and whose radius is the airspeed.

use crate::units::{Bearing, Speed};
use serde::Serialize;

/// An estimated wind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wind {
    /// True direction it blows **from**.
    #[serde(rename = "from_true_deg")]
    pub from: Bearing,
    /// Its speed.
    #[serde(rename = "speed_mps")]
    pub speed: Speed,
    /// Mean true airspeed.
    #[serde(rename = "true_airspeed_mps")]
    pub true_airspeed: Speed,
    /// Root mean square distance of the ground velocities from the circle.
    #[serde(rename = "residual_mps")]
    pub residual: Speed,
    /// Widest gap between neighbouring courses, degrees; the smaller, the better the circle is
    /// pinned down.
    pub widest_course_gap_deg: f64,
}
