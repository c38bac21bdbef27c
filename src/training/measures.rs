//! What training looks at: for each measure its value on every leg or turn, and on the flight.

use super::flight::{Flight, LegFlown, TurnFlown};
use super::rank::{median, root_mean_square};
use super::spacing::pairs;
use super::tolerance::Tolerances;
use crate::tasking::Side;
use crate::units::Speed;
use serde::{Deserialize, Serialize};

/// Crosswinds below this say nothing of drift, metres a second. Chosen: 3 kt.
pub const CROSSWIND_MPS: f64 = 1.543;
/// Drift is given for this wind across, so that windy days and calm ones compare.
pub const CROSSWIND_SHOWN: Speed = Speed::from_kt(10.0);
/// A course reversal changes the course by at least this, degrees. Chosen: what joins parallel legs, with room.
const REVERSAL_DEG: f64 = 150.0;
/// Deviations within so many times their median are scatter: three standard deviations of a normal distribution, whose median deviation is 0.674 of one.
const SCATTER: f64 = 3.0 / 0.674;
/// Settled is who keeps to where the rest of the leg is flown for this distance, metres. Chosen: some ten seconds.
const SETTLED_FOR_M: f64 = 500.0;

/// A measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measure {
    /// Mean XTE, right of the direction flown positive.
    Bias,
    /// Standard deviation of XTE within the legs.
    Spread,
    /// |XTE| not exceeded over 95 % of the way.
    Xte95,
    /// Share of the way within the cross-track tolerance.
    Within,
    /// Distance along the leg until the flight of it is settled.
    Settled,
    /// How far past the line on which the next leg is then flown a turn goes.
    Overshoot,
    /// How far beyond the end of a leg a turn back reaches, less the radius of a standard-rate turn.
    TurnReach,
    /// Overshoot of turns to the left less that of turns to the right.
    LeftRight,
    /// Root mean square of the height off the tasked one.
    Height,
    /// Root mean square of the ground speed off the tasked one, the wind along the leg taken out.
    Speed,
    /// Mean XTE downwind for 10 kt of wind across, on legs with crosswind.
    Downwind,
    /// Share of the search outside the area, other than in turns.
    Outside,
    /// Share of the length of the planned legs not flown.
    NotFlown,
    /// Root mean square of the spacing achieved off the planned one, as a share of it.
    Spacing,
}

/// In what a measure is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Metres across or along.
    Metres,
    /// Metres of height: shown in feet.
    Height,
    /// Metres a second: shown in knots.
    Speed,
    /// A share: shown in per cent.
    Share,
}

/// Values of one measure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Values {
    /// Of the whole flight; `None` where it cannot be told.
    pub flight: Option<f64>,
    /// By leg or turn, as far as it has one, with the label of the leg (of a turn, the one joined; of a spacing, the second one).
    pub parts: Vec<(String, f64)>,
}

impl Measure {
    /// All of them, in the order of reports.
    pub const ALL: [Self; 14] = [
        Self::Bias,
        Self::Spread,
        Self::Xte95,
        Self::Within,
        Self::Settled,
        Self::Overshoot,
        Self::TurnReach,
        Self::LeftRight,
        Self::Downwind,
        Self::Spacing,
        Self::Height,
        Self::Speed,
        Self::Outside,
        Self::NotFlown,
    ];

    /// Name for files.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Bias => "bias",
            Self::Spread => "spread",
            Self::Xte95 => "xte-95",
            Self::Within => "within",
            Self::Settled => "settled",
            Self::Overshoot => "overshoot",
            Self::TurnReach => "turn-reach",
            Self::LeftRight => "left-right",
            Self::Height => "height",
            Self::Speed => "speed",
            Self::Downwind => "downwind",
            Self::Outside => "outside",
            Self::NotFlown => "not-flown",
            Self::Spacing => "spacing",
        }
    }

    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Bias => "mean XTE (right +)",
            Self::Spread => "spread of XTE on a leg",
            Self::Xte95 => "XTE, 95 % of the way",
            Self::Within => "way within tolerance",
            Self::Settled => "distance until settled",
            Self::Overshoot => "turn past the next leg",
            Self::TurnReach => "turn back, reach beyond",
            Self::LeftRight => "left less right turns",
            Self::Height => "height off the tasked",
            Self::Speed => "speed off the tasked",
            Self::Downwind => "XTE downwind, per 10 kt across",
            Self::Outside => "time out of the area",
            Self::NotFlown => "leg length not flown",
            Self::Spacing => "spacing off the planned",
        }
    }

    /// How it is given.
    #[must_use]
    pub const fn unit(self) -> Unit {
        match self {
            Self::Height => Unit::Height,
            Self::Speed => Unit::Speed,
            Self::Within | Self::Outside | Self::NotFlown | Self::Spacing => Unit::Share,
            _ => Unit::Metres,
        }
    }

    /// Whether both sides of zero are the same fault, so that its size counts.
    #[must_use]
    pub const fn is_signed(self) -> bool {
        matches!(
            self,
            Self::Bias | Self::TurnReach | Self::LeftRight | Self::Downwind
        )
    }

    /// What is judged of a value: its size, and for the share within tolerance what is missing of it. Less is better.
    #[must_use]
    pub fn shortfall(self, value: f64) -> f64 {
        match self {
            Self::Within => 1.0 - value,
            _ if self.is_signed() => value.abs(),
            _ => value,
        }
    }

    /// The value that a shortfall is of; of one with two sides its size.
    #[must_use]
    pub fn value_of(self, shortfall: f64) -> f64 {
        match self {
            Self::Within => 1.0 - shortfall,
            _ => shortfall,
        }
    }

    /// The values that are good enough, from and to, where the shortfall may be `most`.
    #[must_use]
    pub const fn good(self, most: f64) -> (f64, f64) {
        match self {
            Self::Within => (1.0 - most, 1.0),
            _ if self.is_signed() => (-most, most),
            _ => (0.0, most),
        }
    }

    /// The measure of a name for files.
    #[must_use]
    pub fn called(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|measure| measure.id() == id)
    }

    /// Whether its values depend on the tolerances it is measured with.
    #[must_use]
    pub const fn goes_by_tolerances(self) -> bool {
        matches!(self, Self::Within | Self::Settled)
    }

    /// Its values on a flight.
    #[must_use]
    pub fn of(self, flight: &Flight, tolerances: &Tolerances) -> Values {
        let legs = || flight.legs.iter();
        match self {
            Self::Bias => by_way(legs().map(|leg| (leg, Some(leg.mean_m)))),
            Self::Spread => size(legs().map(|leg| {
                (
                    leg.label.clone(),
                    quieted(leg.sd_m, flight.position_error_m),
                )
            })),
            Self::Xte95 => by_way(legs().map(|leg| (leg, Some(leg.p95_m)))),
            Self::Within => {
                let tolerance_m = tolerances.cross_track_m(flight.spacing_m);
                by_way(legs().map(|leg| (leg, within(leg, tolerance_m))))
            }
            Self::Settled => {
                let band_m = tolerances.settled_band_m(flight.spacing_m);
                middle(
                    legs().filter_map(|leg| {
                        settled_after_m(leg, band_m).map(|m| (leg.label.clone(), m))
                    }),
                )
            }
            Self::Overshoot => middle(
                reversals(flight)
                    .filter_map(|turn| Some((turn.before.clone(), overshoot_m(flight, turn)?))),
            ),
            Self::TurnReach => {
                let radius_m = standard_radius_m(flight.ground_speed_mps);
                middle(
                    reversals(flight).filter_map(|turn| {
                        Some((turn.before.clone(), turn.past_end_m? - radius_m))
                    }),
                )
            }
            Self::LeftRight => Values {
                flight: left_less_right(flight),
                parts: Vec::new(),
            },
            Self::Height => size(legs().filter_map(|leg| {
                Some((leg.label.clone(), leg.height_off_m?.hypot(leg.height_sd_m?)))
            })),
            Self::Speed => size(legs().map(|leg| {
                let off = speed_off_mps(flight, leg).hypot(leg.ground_speed_sd_mps);
                (leg.label.clone(), off)
            })),
            Self::Downwind => downwind(flight),
            Self::Outside => Values {
                flight: (flight.window_s > 0.0).then(|| flight.outside_s / flight.window_s),
                parts: Vec::new(),
            },
            Self::NotFlown => not_flown(flight),
            Self::Spacing => size(pairs(flight).iter().map(|pair| {
                let off = (pair.achieved_m - pair.planned_m) / pair.planned_m;
                (pair.legs[1].label.clone(), off)
            })),
        }
    }
}

/// Mean over legs, each by its length.
fn by_way<'a>(legs: impl Iterator<Item = (&'a LegFlown, Option<f64>)>) -> Values {
    let known: Vec<(&LegFlown, f64)> = legs
        .filter_map(|(leg, value)| Some((leg, value?)))
        .collect();
    let length: f64 = known.iter().map(|(leg, _)| leg.length_m).sum();
    let sum: f64 = known.iter().map(|(leg, value)| leg.length_m * value).sum();
    Values {
        flight: (length > 0.0).then(|| sum / length),
        parts: known
            .into_iter()
            .map(|(leg, value)| (leg.label.clone(), value))
            .collect(),
    }
}

fn size(parts: impl Iterator<Item = (String, f64)>) -> Values {
    let parts: Vec<(String, f64)> = parts.collect();
    let values: Vec<f64> = parts.iter().map(|(_, value)| *value).collect();
    Values {
        flight: root_mean_square(&values),
        parts,
    }
}

fn middle(parts: impl Iterator<Item = (String, f64)>) -> Values {
    let parts: Vec<(String, f64)> = parts.collect();
    let flight = median(parts.iter().map(|(_, value)| *value));
    Values { flight, parts }
}

/// A standard deviation without that of the receiver, whose error in each axis is half of what it keeps to in 95 of 100 cases; a part
/// of that is steady over a leg, so this takes out the most it can be.
fn quieted(sd_m: f64, position_error_m: f64) -> f64 {
    let receiver_m = position_error_m / 2.0;
    (sd_m * sd_m - receiver_m * receiver_m).max(0.0).sqrt()
}

/// Turns back onto a neighbouring leg.
pub fn reversals(flight: &Flight) -> impl Iterator<Item = &TurnFlown> {
    let is_reversal = |turn: &&TurnFlown| turn.change_deg.is_some_and(|deg| deg >= REVERSAL_DEG);
    flight.turns.iter().filter(is_reversal)
}

/// How far a turn goes past the line on which the next leg is then flown, so that a bias is not taken for wide turns to one side.
#[must_use]
pub fn overshoot_m(flight: &Flight, turn: &TurnFlown) -> Option<f64> {
    let joined = |leg: &&LegFlown| leg.label == turn.before && leg.entered >= turn.from;
    let leg = flight.legs.iter().find(joined)?;
    let points = leg.profile.iter().flatten();
    let second_half = points.filter(|(along, _)| *along >= leg.length_m / 2.0);
    let flown_m = median(second_half.map(|(_, xte)| *xte))?;
    // The far side of a leg joined by a turn to the right is its left.
    let far_m = if turn.side == Side::Right {
        -flown_m
    } else {
        flown_m
    };
    let past_m = turn.past_next_leg_m?;
    if past_m > 0.0 || far_m >= 0.0 {
        return Some((past_m - far_m).max(0.0));
    }
    // Not past the planned line, but perhaps past the flown one, which lies before it: as far as it shows on the leg.
    let side = if turn.side == Side::Right { -1.0 } else { 1.0 };
    let first_half = leg
        .profile
        .iter()
        .flatten()
        .filter(|(along, _)| *along < leg.length_m / 2.0);
    Some(
        first_half
            .map(|(_, xte)| side * (xte - flown_m))
            .fold(0.0, f64::max),
    )
}

/// Radius of a turn at 3 degrees a second.
#[must_use]
pub fn standard_radius_m(speed_mps: f64) -> f64 {
    speed_mps / 3f64.to_radians()
}

fn left_less_right(flight: &Flight) -> Option<f64> {
    let side = |right: bool| {
        let turns = reversals(flight).filter(|turn| (turn.side == Side::Right) == right);
        let overshoots: Vec<f64> = turns.filter_map(|turn| overshoot_m(flight, turn)).collect();
        (overshoots.len() >= 2).then(|| median(overshoots.into_iter()))?
    };
    Some(side(false)? - side(true)?)
}

/// Mean XTE to the side the wind blows to, for [`CROSSWIND_SHOWN`]. Of the flight: the slope through
/// zero of XTE over the wind across, which legs with more wind settle more.
fn downwind(flight: &Flight) -> Values {
    let ten_kt = CROSSWIND_SHOWN.mps();
    let across = |leg: &LegFlown| leg.crosswind_mps.filter(|w| w.abs() >= CROSSWIND_MPS);
    let legs: Vec<(&LegFlown, f64)> = flight
        .legs
        .iter()
        .filter_map(|leg| Some((leg, across(leg)?)))
        .collect();
    let squares: f64 = legs.iter().map(|(_, wind)| wind * wind).sum();
    let products: f64 = legs.iter().map(|(leg, wind)| leg.mean_m * wind).sum();
    Values {
        flight: (squares > 0.0).then(|| products / squares * ten_kt),
        parts: legs
            .iter()
            .map(|(leg, wind)| (leg.label.clone(), leg.mean_m / wind * ten_kt))
            .collect(),
    }
}

/// Ground speed off the tasked one by more than the wind along the leg makes it, the nearest to zero: whether the crew holds the ground speed, or the
/// airspeed that gives it in calm, both are right.
#[must_use]
pub fn speed_off_mps(flight: &Flight, leg: &LegFlown) -> f64 {
    let off = leg.ground_speed_mps - flight.ground_speed_mps;
    let along = flight.wind.map_or(0.0, |wind| {
        -wind.speed_mps * (wind.from_true_deg - leg.course_deg).to_radians().cos()
    });
    let (low, high) = (along.min(0.0), along.max(0.0));
    off - off.clamp(low, high)
}

fn not_flown(flight: &Flight) -> Values {
    let recorded = |leg: &super::flight::LegPlanned| leg.length_m * (1.0 - leg.unrecorded_share);
    let missed = |leg: &super::flight::LegPlanned| {
        leg.length_m * (1.0 - leg.unrecorded_share - leg.flown_share).max(0.0)
    };
    let length: f64 = flight.planned.iter().map(recorded).sum();
    let sum: f64 = flight.planned.iter().map(missed).sum();
    Values {
        flight: (length > 0.0).then(|| sum / length),
        parts: flight
            .planned
            .iter()
            .map(|leg| (leg.label.clone(), missed(leg) / leg.length_m.max(1.0)))
            .collect(),
    }
}

/// Pieces of the profile: from, to (along the leg) and the XTE at both.
fn pieces(leg: &LegFlown) -> impl Iterator<Item = [(f64, f64); 2]> {
    let stretches = leg.profile.iter();
    stretches.flat_map(|points| points.windows(2).map(|two| [two[0], two[1]]))
}

/// Share of the way with |XTE| within a tolerance, straight between the points of the profile.
fn within(leg: &LegFlown, tolerance_m: f64) -> Option<f64> {
    let (mut way, mut inside) = (0.0, 0.0);
    for [(a, x), (b, y)] in pieces(leg) {
        let length = (b - a).abs();
        way += length;
        // The part of x + t(y - x), t from 0 to 1, between -tolerance and tolerance.
        let share = if (y - x).abs() < 1e-9 {
            f64::from(u8::from(x.abs() <= tolerance_m))
        } else {
            let (s, t) = ((-tolerance_m - x) / (y - x), (tolerance_m - x) / (y - x));
            (s.max(t).clamp(0.0, 1.0) - s.min(t).clamp(0.0, 1.0)).max(0.0)
        };
        inside += share * length;
    }
    (way > 0.0).then(|| inside / way)
}

/// Where on the leg the flight is as near to where its second half is flown on the median as that half itself keeps to it, or within `band_m`, and
/// stays so for some way; its length where that is never so. So neither a steady bias nor weaving is taken for a late rejoin.
#[must_use]
pub fn settled_after_m(leg: &LegFlown, band_m: f64) -> Option<f64> {
    let points = || leg.profile.iter().flatten();
    let second_half = || points().filter(|(along, _)| *along >= leg.length_m / 2.0);
    let rest = median(second_half().map(|(_, xte)| *xte))?;
    let scatter = median(second_half().map(|(_, xte)| (xte - rest).abs()))?;
    let band_m = band_m.max(SCATTER * scatter);
    let (mut since, mut settled) = (None, None);
    for (along, xte) in points() {
        if (xte - rest).abs() > band_m {
            since = None;
            continue;
        }
        let from = *since.get_or_insert(*along);
        if along - from >= SETTLED_FOR_M {
            settled = Some(from);
            break;
        }
    }
    Some(settled.unwrap_or(leg.length_m))
}

/// Mean XTE once the leg is settled, or over its second half where that is earlier, and the standard deviation about it: each piece of the profile
/// by its length.
#[must_use]
pub fn settled_xte_m(leg: &LegFlown, band_m: f64) -> Option<(f64, f64)> {
    let from_m = settled_after_m(leg, band_m)?.min(leg.length_m / 2.0);
    let weighted: Vec<(f64, f64)> = pieces(leg)
        .filter(|[(along, _), _]| *along >= from_m)
        .map(|[(a, x), (b, y)]| ((b - a).abs(), (x + y) / 2.0))
        .collect();
    let way: f64 = weighted.iter().map(|(way, _)| way).sum();
    let mean = weighted.iter().map(|(way, xte)| way * xte).sum::<f64>() / way;
    let squares: f64 = weighted
        .iter()
        .map(|(way, xte)| way * (xte - mean).powi(2))
        .sum();
    (way > 0.0).then(|| (mean, (squares / way).sqrt()))
}
