//! What really happened on a simulated flight, from its true positions.
//!
//! Legs go by their labels; distances along a planned leg count from its planned start, whichever
//! way it was flown, and along an additional leg from where it was begun.

use super::{Fault, Settings};
use crate::geodesy::Position;
use crate::tasking::Side;
use crate::units::{Bearing, Length, Speed};
use chrono::{DateTime, Utc};
use serde::Serialize;

/// The true course of the flight.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Truth {
    /// The seed it was flown with.
    pub seed: u64,
    /// First moment of the log.
    pub from: DateTime<Utc>,
    /// Last moment of the log.
    pub to: DateTime<Utc>,
    /// Lift-off.
    pub airborne: DateTime<Utc>,
    /// Touch-down.
    pub landed: DateTime<Utc>,
    /// True airspeed flown.
    #[serde(rename = "airspeed_mps")]
    pub airspeed: Speed,
    /// Where the steady wind came from, true.
    #[serde(rename = "wind_from_deg")]
    pub wind_from: Bearing,
    /// Strength of the steady wind.
    #[serde(rename = "wind_speed_mps")]
    pub wind_speed: Speed,
    /// Distance over the ground.
    #[serde(rename = "distance_m")]
    pub distance: Length,
    /// Passages along legs in the order flown.
    pub passes: Vec<TruePass>,
    /// Planned legs on which no pass was flown.
    pub skipped: Vec<String>,
    /// Silences of the receiver.
    pub dropouts: Vec<TrueDropout>,
    /// Departures sideways out of the area.
    pub excursions: Vec<TrueExcursion>,
    /// Full circles.
    pub orbits: Vec<TrueOrbit>,
    /// The flight over the corners of the area, if there was one.
    pub corner_survey: Option<TrueCornerSurvey>,
    /// How the whole pattern was flown elsewhere, if it was. Passes are then told about the legs as
    /// moved, not as planned.
    pub moved: Option<TrueMove>,
    /// Since when a pattern was carried along.
    pub carried_from: Option<DateTime<Utc>>,
}

impl Truth {
    /// The truth of a flight that has not begun to move.
    pub(super) fn at_start(settings: &Settings, seed: u64) -> Self {
        Self {
            seed,
            from: settings.start,
            to: settings.start,
            airborne: settings.start,
            landed: settings.start,
            airspeed: settings.airspeed,
            wind_from: settings.wind.from,
            wind_speed: settings.wind.speed,
            distance: Length::default(),
            passes: Vec::new(),
            skipped: Vec::new(),
            dropouts: Vec::new(),
            excursions: Vec::new(),
            orbits: Vec::new(),
            corner_survey: None,
            moved: TrueMove::of(&settings.faults),
            carried_from: None,
        }
    }
}

/// A pattern flown elsewhere as a whole.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct TrueMove {
    /// Turned about the start of the first leg, degrees, to the right positive.
    pub turned_deg: f64,
    /// Shifted towards true east.
    #[serde(rename = "shifted_east_m")]
    pub shifted_east: Length,
    /// Shifted towards true north.
    #[serde(rename = "shifted_north_m")]
    pub shifted_north: Length,
    /// Turns made to the other side.
    pub mirrored: bool,
    /// Carried towards true east.
    #[serde(rename = "carried_east_mps")]
    pub carried_east: Speed,
    /// Carried towards true north.
    #[serde(rename = "carried_north_mps")]
    pub carried_north: Speed,
}

impl TrueMove {
    fn of(faults: &[Fault]) -> Option<Self> {
        let mut moved = Self::default();
        for fault in faults {
            match *fault {
                Fault::Turned { right_deg } => moved.turned_deg += right_deg,
                Fault::Shifted { by, towards } => {
                    let (sin, cos) = towards.deg().to_radians().sin_cos();
                    moved.shifted_east = Length::from_m(moved.shifted_east.m() + by.m() * sin);
                    moved.shifted_north = Length::from_m(moved.shifted_north.m() + by.m() * cos);
                }
                Fault::Mirrored => moved.mirrored = true,
                _ => {}
            }
        }
        let carried = super::moved::carried(faults);
        moved.carried_east = Speed::from_mps(carried.east);
        moved.carried_north = Speed::from_mps(carried.north);
        (moved != Self::default()).then_some(moved)
    }
}

/// What a passage was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PassKind {
    /// First passage along a planned leg.
    Planned,
    /// A further passage along a planned leg.
    Again,
    /// Along no planned leg.
    Additional,
}

/// A stretch of a leg.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TrueSpan {
    /// Where it begins.
    #[serde(rename = "from_m")]
    pub from: Length,
    /// Where it ends; more than `from`.
    #[serde(rename = "to_m")]
    pub to: Length,
}

impl TrueSpan {
    /// Its length.
    #[must_use]
    pub const fn length(&self) -> Length {
        Length::from_m(self.to.m() - self.from.m())
    }
}

/// One passage along a leg.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TruePass {
    /// Label of the planned leg, or `between 4 and 5`.
    pub leg: String,
    /// What it was.
    pub kind: PassKind,
    /// Flown against the planned direction.
    pub reversed: bool,
    /// Place where the line flown begins.
    pub start: Position,
    /// Place where the line flown ends.
    pub end: Position,
    /// When the first stretch was begun; `None` if the aircraft never got established.
    pub entered: Option<DateTime<Utc>>,
    /// When the leg was left: abeam its end, or where the turn away began.
    pub left: DateTime<Utc>,
    /// Stretches flown established: within 0.25 NM and a quarter of the track spacing of the line
    /// aimed at and once within 10° of its course, until the aircraft was turned away.
    pub flown: Vec<TrueSpan>,
    /// Mean XTE over those stretches, right of the leg in the direction flown positive; `None` if
    /// there are none.
    #[serde(rename = "xte_mean_m")]
    pub xte_mean: Option<Length>,
    /// Standard deviation of the XTE over those stretches.
    #[serde(rename = "xte_sd_m")]
    pub xte_sd: Option<Length>,
    /// Mean ground speed over those stretches.
    #[serde(rename = "ground_speed_mps")]
    pub ground_speed: Option<Speed>,
    /// How far right of the leg the pilot was told to aim.
    #[serde(rename = "bias_m")]
    pub bias: Length,
}

/// A silence of the receiver.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrueDropout {
    /// The leg it began on.
    pub leg: String,
    /// Its beginning.
    pub from: DateTime<Utc>,
    /// Its end.
    pub to: DateTime<Utc>,
    /// Where on the leg it began.
    #[serde(rename = "along_from_m")]
    pub along_from: Length,
    /// Where on the leg it ended; `None` if the pass was over by then.
    #[serde(rename = "along_to_m")]
    pub along_to: Option<Length>,
}

/// A departure sideways out of the area.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrueExcursion {
    /// The leg it left.
    pub leg: String,
    /// Where on the leg it began.
    #[serde(rename = "along_from_m")]
    pub along_from: Length,
    /// Where on the leg it ended.
    #[serde(rename = "along_to_m")]
    pub along_to: Length,
    /// When the leg was left.
    pub from: DateTime<Utc>,
    /// When the leg was resumed.
    pub to: DateTime<Utc>,
    /// First crossing out of the area; `None` if it was not left.
    pub out: Option<DateTime<Utc>>,
    /// Last crossing into the area.
    pub back: Option<DateTime<Utc>>,
    /// Seconds outside the area between leaving and resuming the leg.
    pub outside_s: f64,
}

/// Full circles beside a leg.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrueOrbit {
    /// The leg it left.
    pub leg: String,
    /// Where on the leg it began.
    #[serde(rename = "along_m")]
    pub along: Length,
    /// On which side of the aircraft the centre lay.
    pub side: Side,
    /// How many circles.
    pub turns: u32,
    /// Their centre.
    pub centre: Position,
    /// Radius over the ground that was aimed at.
    #[serde(rename = "radius_m")]
    pub radius: Length,
    /// Beginning of the first.
    pub from: DateTime<Utc>,
    /// End of the last.
    pub to: DateTime<Utc>,
}

/// The flight over the corners of the area.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrueCornerSurvey {
    /// Over the first corner.
    pub from: DateTime<Utc>,
    /// Over the last corner.
    pub to: DateTime<Utc>,
    /// Corners in the order flown over.
    pub corners: Vec<Position>,
    /// Greatest distance from a corner when abeam it.
    #[serde(rename = "widest_miss_m")]
    pub widest_miss: Length,
}
