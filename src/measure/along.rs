//! Stretches of planned legs, and cross-track error along them.

use crate::geodesy::Position;
use crate::plan::Leg;
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// A stretch of a planned leg, measured from its planned start.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct AlongSpan {
    /// Where it begins.
    #[serde(rename = "from_m")]
    pub from: Length,
    /// Where it ends; more than `from`.
    #[serde(rename = "to_m")]
    pub to: Length,
    /// Place of its beginning on the planned leg.
    pub from_position: Position,
    /// Place of its end on the planned leg.
    pub to_position: Position,
}

impl AlongSpan {
    /// The stretch of `leg` between two distances from its start.
    #[must_use]
    pub fn on(leg: &Leg, from: Length, to: Length) -> Self {
        Self {
            from,
            to,
            from_position: leg.at(from),
            to_position: leg.at(to),
        }
    }

    /// Its length.
    #[must_use]
    pub fn length(&self) -> Length {
        Length::from_m(self.to.m() - self.from.m())
    }
}

/// One point of a cross-track profile.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ProfilePoint {
    /// Distance from the leg's planned start.
    #[serde(rename = "along_m")]
    pub along: Length,
    /// XTE, right positive in the direction flown.
    #[serde(rename = "xte_m")]
    pub xte: Length,
    /// Seconds since the leg was entered.
    pub after_s: f64,
}
