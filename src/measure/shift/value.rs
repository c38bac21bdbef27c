//! What is reported of a pattern as a whole.

use super::moved_leg::{MovedLeg, moved_legs};
use super::{Recognised, along};
use crate::measure::Flight;
use crate::units::{Bearing, Length, Speed};
use chrono::{DateTime, TimeDelta, Utc};
use geo::Coord;
use serde::{Deserialize, Serialize};

/// The pattern as flown against the pattern as planned. All intervals hold to either side with a
/// chance of 95 %.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PatternShift {
    /// Whether it lay elsewhere by more than chance, and by enough to be worth a word.
    pub moved: bool,
    /// Turned to the other side than planned; the rest is then about the mirrored pattern.
    pub mirrored: bool,
    /// Turned about the start of its first leg, degrees, clockwise positive.
    pub turned_deg: f64,
    /// Of the turn, degrees.
    pub turned_interval_deg: f64,
    /// Where the start of the pattern lay.
    pub offset: Offset,
    /// How it drifted, if it did by more than chance.
    pub drift: Option<Drift>,
    /// When the first leg recognised was begun: the time for which the offset holds.
    pub from: DateTime<Utc>,
    /// Planned search legs recognised.
    pub legs_recognised: usize,
    /// Root mean square of the XTE about the pattern as flown.
    #[serde(rename = "xte_rms_m")]
    pub rms: Length,
    /// Every planned search leg about the pattern as flown.
    pub legs: Vec<MovedLeg>,
    /// What is to be said of it first, where it moved.
    pub summary: Option<String>,
    /// What the slip may have been, each with its evidence.
    pub slips: Vec<Slip>,
}

/// Where the start of the pattern lay, seen from the planned one.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Offset {
    /// Only the part across the legs shows, all legs being parallel; the rest is not known.
    pub across_only: bool,
    /// East.
    #[serde(rename = "east_m")]
    pub east: Length,
    /// North.
    #[serde(rename = "north_m")]
    pub north: Length,
    /// How far.
    #[serde(rename = "distance_m")]
    pub distance: Length,
    /// In which direction.
    #[serde(rename = "towards_true_deg")]
    pub towards: Bearing,
    /// Its place is within this with a chance of 95 %.
    #[serde(rename = "interval_m")]
    pub interval: Length,
}

/// A steady drift of the pattern over the ground.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Drift {
    /// How fast.
    #[serde(rename = "speed_mps")]
    pub speed: Speed,
    /// In which direction.
    #[serde(rename = "towards_true_deg")]
    pub towards: Bearing,
    /// Its velocity is within this with a chance of 95 %.
    #[serde(rename = "interval_mps")]
    pub interval: Speed,
}

/// What the slip may have been.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Slip {
    /// Which one.
    pub slip: SlipKind,
    /// The same in words, with the figures it rests on.
    pub words: String,
}

/// Slips that are told apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SlipKind {
    /// The first course was flown as true though it was tasked magnetic.
    FlownAsTrue,
    /// The first course was flown as magnetic though it was tasked true.
    FlownAsMagnetic,
    /// Turned, and the declination is too small to tell whether it is the cause.
    DeclinationTooSmall,
    /// Turned, by another angle than the declination.
    Turned,
    /// Turned to the other side.
    OtherSide,
    /// Begun elsewhere.
    BegunElsewhere,
    /// Carried along by the wind.
    DriftedWithWind,
    /// Carried along, but not as the wind blew.
    Drifted,
}

/// The figures, without words.
pub(super) fn figures(flight: Flight<'_>, recognised: &Recognised) -> PatternShift {
    let Recognised { pattern, fit, .. } = recognised;
    let moved = &fit.guess.moved;
    let axes = pattern.shows.len();
    let shown = |vector: Coord<f64>| {
        along(pattern, vector)
            .iter()
            .zip(&pattern.shows)
            .fold(Coord { x: 0.0, y: 0.0 }, |sum, (by, axis)| {
                sum + *axis * *by
            })
    };
    let towards = |v: Coord<f64>| Bearing::from_deg(v.x.atan2(v.y).to_degrees());
    let shift = shown(moved.shifted);
    let (legs, rms) = moved_legs(flight, recognised);
    let since_start_ms = (moved.since_s * 1000.0).round() as i64;
    PatternShift {
        moved: recognised.is_moved(),
        mirrored: pattern.mirrored,
        turned_deg: moved.turned_rad.to_degrees(),
        turned_interval_deg: fit.interval(0).to_degrees(),
        offset: Offset {
            across_only: axes < 2,
            east: Length::from_m(shift.x),
            north: Length::from_m(shift.y),
            distance: Length::from_m(shift.x.hypot(shift.y)),
            towards: towards(shift),
            interval: Length::from_m(fit.radius(1, axes)),
        },
        drift: fit.drifts.then(|| Drift {
            speed: Speed::from_mps(moved.carried.x.hypot(moved.carried.y)),
            towards: towards(moved.carried),
            interval: Speed::from_mps(fit.radius(1 + axes, axes)),
        }),
        from: flight.track.fixes[0].time + TimeDelta::milliseconds(since_start_ms),
        legs_recognised: legs.iter().filter(|leg| leg.mean.is_some()).count(),
        rms,
        legs,
        summary: None,
        slips: Vec::new(),
    }
}
