//! What is behind the figures: each cause from what sets it apart from the others, one a file.
//!
//! | cause | what sets it apart |
//! |---|---|
//! | steady bias | XTE to the same side of the direction flown, whatever the wind |
//! | drift | XTE to the side the wind blows to (or from), growing with the wind across |
//! | wrong spacing | XTE that grows from leg to leg, to the same side on the ground |
//! | late rejoin | legs that are well flown only from some way on |
//! | wandering | XTE about what the first three make of it, once a leg is settled |
//! | turns | how far they reach past the leg left and past the leg joined; left against right |
//! | legs missed | what of the plan was not flown |
//! | slips | the pattern as a whole lay elsewhere |
//! | height, speed | off the tasked ones |

mod fit;
mod keeping;
mod missed;
mod rejoin;
mod slips;
mod steady;
mod turning;
mod wander;
mod words;

use super::flight::{Flight, LegFlown};
use super::measures::Measure;
use super::tolerance::Tolerances;
use crate::geodesy::Position;
use chrono::{DateTime, Utc};
use serde::Serialize;

/// Causes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// The pattern was laid or flown elsewhere as a whole.
    Slip,
    /// Legs, or their ends, were not flown.
    LegsMissed,
    /// To the same side of every leg.
    SteadyBias,
    /// Carried downwind: too little is allowed for the wind.
    DriftUnder,
    /// Carried upwind: too much is allowed.
    DriftOver,
    /// Legs laid too far apart or too close.
    Spacing,
    /// Long on the way back onto the leg after a turn.
    LateRejoin,
    /// Weaving about the leg.
    Wandering,
    /// Turns begun late: far beyond the end of the leg.
    LateTurns,
    /// Turns rolled out late: past the next leg.
    WideTurns,
    /// Turns to one side wider than to the other.
    UnequalTurns,
    /// Height not held.
    Height,
    /// Speed not held.
    Speed,
}

/// A cause that is there.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cause {
    /// Which.
    pub kind: Kind,
    /// How large: metres (drift: for 10 kt of wind across), metres a second, or a share. 0 where it has no size.
    pub size: f64,
    /// Its interval: 99 % for bias, drift and spacing, 95 % for the others, where it has one.
    pub interval: Option<(f64, f64)>,
    /// The most that is good enough.
    pub tolerance: f64,
    /// What was seen, in one sentence.
    pub seen: String,
    /// What to practise, in one sentence.
    pub practise: String,
    /// Where it shows best.
    pub shown_by: Option<Place>,
    /// Drift is there as well, and this may be no more than what follows from it.
    pub may_follow_drift: bool,
    /// Over all flights of the review it gets clearly less.
    pub lessens: bool,
}

/// Where on a flight something shows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Place {
    /// Which of the flights given, from 0.
    pub flight: usize,
    /// Sortie of the flight.
    pub sortie: String,
    /// Label of the leg.
    pub leg: String,
    /// When: there, or as the leg or the turn begins.
    pub time: DateTime<Utc>,
    /// What of the leg.
    pub shown: Shown,
}

/// What of a leg shows it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "of")]
pub enum Shown {
    /// A place on it.
    Place {
        /// Distance along it in the direction flown, metres.
        along_m: f64,
        /// Where on the ground.
        at: Position,
        /// XTE there, right positive.
        xte_m: f64,
    },
    /// All of it.
    Leg,
    /// The turn onto it.
    Turn,
}

impl Kind {
    /// What it is called.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Slip => "pattern elsewhere as a whole",
            Self::LegsMissed => "legs missed or cut short",
            Self::SteadyBias => "to the same side of every leg",
            Self::DriftUnder => "too little allowed for the wind",
            Self::DriftOver => "too much allowed for the wind",
            Self::Spacing => "legs too far apart or too close",
            Self::LateRejoin => "late rejoin after turns",
            Self::Wandering => "weaving about the leg",
            Self::LateTurns => "turns begun late",
            Self::WideTurns => "turns past the next leg",
            Self::UnequalTurns => "turns wider to one side",
            Self::Height => "height not held",
            Self::Speed => "speed not held",
        }
    }

    /// The measure that is made of it, where one is.
    #[must_use]
    pub const fn measure(self) -> Option<Measure> {
        match self {
            Self::Slip => None,
            Self::LegsMissed => Some(Measure::NotFlown),
            Self::SteadyBias => Some(Measure::Bias),
            Self::DriftUnder | Self::DriftOver => Some(Measure::Downwind),
            Self::Spacing => Some(Measure::Spacing),
            Self::LateRejoin => Some(Measure::Settled),
            Self::Wandering => Some(Measure::Spread),
            Self::LateTurns => Some(Measure::TurnReach),
            Self::WideTurns => Some(Measure::Overshoot),
            Self::UnequalTurns => Some(Measure::LeftRight),
            Self::Height => Some(Measure::Height),
            Self::Speed => Some(Measure::Speed),
        }
    }

    const fn is_drift(self) -> bool {
        matches!(self, Self::DriftUnder | Self::DriftOver)
    }

    /// Whether who does not allow for the wind will do this as well: turns are too wide or too tight, and legs are joined beside their line.
    const fn follows_drift(self) -> bool {
        matches!(
            self,
            Self::WideTurns | Self::UnequalTurns | Self::LateRejoin | Self::LegsMissed
        )
    }
}

impl Cause {
    /// How many times what is good enough.
    #[must_use]
    pub fn weight(&self) -> f64 {
        if self.tolerance > 0.0 {
            self.size.abs() / self.tolerance
        } else {
            0.0
        }
    }
}

/// What is behind the figures of some flights of a pilot, the weightiest first: slips, then the others by how far they are beyond
/// what is good enough, what may only follow from drift behind it.
#[must_use]
pub fn causes(flights: &[Flight], tolerances: &Tolerances) -> Vec<Cause> {
    let all = Flights {
        flights,
        tolerances,
    };
    let mut causes: Vec<Cause> = slips::causes(&all);
    let fit = fit::Fit::of(&all);
    let mut others = fit
        .as_ref()
        .map_or_else(Vec::new, |fit| steady::causes(&all, fit));
    others.extend(missed::cause(&all));
    others.extend(rejoin::cause(&all));
    others.extend(wander::cause(&all, fit.as_ref()));
    others.extend(turning::causes(&all));
    others.extend(keeping::causes(&all));
    let drifts = others.iter().any(|cause| cause.kind.is_drift());
    for cause in &mut others {
        cause.may_follow_drift = drifts && cause.kind.follows_drift();
    }
    others.sort_by(|a, b| b.weight().total_cmp(&a.weight()));
    // The sort is stable: what may follow comes behind, else as it was.
    others.sort_by_key(|cause| cause.may_follow_drift);
    causes.extend(others);
    causes
}

/// Flights, judged by tolerances.
#[derive(Clone, Copy)]
struct Flights<'a> {
    flights: &'a [Flight],
    tolerances: &'a Tolerances,
}

impl<'a> Flights<'a> {
    /// Flights whose legs can be judged by where they lie: of a plan that was given, and with the pattern as a whole in its place.
    fn in_place(self) -> impl Iterator<Item = (usize, &'a Flight)> {
        let in_place = |(_, flight): &(usize, &Flight)| !flight.is_moved() && !flight.inferred;
        self.flights.iter().enumerate().filter(in_place)
    }

    /// The leg that `size` makes the largest of.
    fn leg(self, size: impl Fn(&Flight, &LegFlown) -> Option<f64>) -> Option<Place> {
        let (flight, leg) = self.largest(size)?;
        Some(self.shown(flight, leg, leg.entered, Shown::Leg))
    }

    /// Where the XTE is largest on the leg that `size` makes the largest of.
    fn place(self, size: impl Fn(&Flight, &LegFlown) -> Option<f64>) -> Option<Place> {
        let (flight, leg) = self.largest(size)?;
        let shown = Shown::Place {
            along_m: leg.worst_along_m,
            at: leg.worst_at,
            xte_m: leg.worst_m,
        };
        Some(self.shown(flight, leg, leg.worst_time, shown))
    }

    fn largest(
        self,
        size: impl Fn(&Flight, &LegFlown) -> Option<f64>,
    ) -> Option<(usize, &'a LegFlown)> {
        let legs = self
            .in_place()
            .flat_map(|(i, flight)| flight.legs.iter().map(move |leg| (i, flight, leg)));
        let sized = legs.filter_map(|(i, flight, leg)| Some((i, leg, size(flight, leg)?)));
        let (flight, leg, _) = sized.max_by(|a, b| a.2.total_cmp(&b.2))?;
        Some((flight, leg))
    }

    fn shown(self, flight: usize, leg: &LegFlown, time: DateTime<Utc>, shown: Shown) -> Place {
        Place {
            flight,
            sortie: self.flights[flight].sortie.clone(),
            leg: leg.label.clone(),
            time,
            shown,
        }
    }

    /// The middle spacing, by which shares of it are made metres.
    fn spacing_m(self) -> f64 {
        let spacings = self.flights.iter().map(|flight| flight.spacing_m);
        super::rank::median(spacings).unwrap_or(0.0)
    }
}
