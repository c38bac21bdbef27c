//! Flights of one pilot, one after the other, as one value.

use super::cause::{Cause, causes};
use super::flight::{Flight, LegFlown, Wind, in_order};
use super::measures::{Measure, Values};
use super::others::{Spread, spread};
use super::tolerance::Tolerances;
use super::trend::{Trend, standing};
use crate::plan::PatternKind;
use chrono::{DateTime, Utc};
use serde::Serialize;
use std::collections::BTreeMap;

/// Causes are looked for in so many of the latest flights: what was mended before is no news. Chosen.
pub const LATEST: usize = 3;
/// Things to practise that are proposed at most.
pub const PRACTISE: usize = 3;

/// A review.
#[derive(Clone, Debug, Serialize)]
pub struct Review {
    /// Whose flights.
    pub pilot: String,
    /// The flights in the order of time.
    pub flights: Vec<Reviewed>,
    /// Labels of the legs of the pattern, in its order: of the flight with most of them, then what others have besides.
    pub legs: Vec<String>,
    /// Every measure, over the flights.
    pub measures: Vec<Measured>,
    /// What is behind the figures of the latest flights, the weightiest first.
    pub causes: Vec<Cause>,
    /// How many of the latest flights these rest on.
    pub latest: usize,
    /// What is proposed to practise: indices of `causes`.
    pub practise: Vec<usize>,
    /// Leg with the least and leg with the largest XTE over 95 % of the way, as a share of the spacing.
    pub best: Option<LegAt>,
    /// See `best`.
    pub worst: Option<LegAt>,
    /// What it was judged by.
    pub tolerances: Tolerances,
    /// What could not be adjusted or told.
    pub remarks: Vec<String>,
}

/// A flight of a review.
#[derive(Clone, Debug, Serialize)]
pub struct Reviewed {
    /// Sortie.
    pub sortie: String,
    /// First moment of its log.
    pub started: DateTime<Utc>,
    /// Pattern.
    pub pattern: PatternKind,
    /// Track spacing, metres.
    pub spacing_m: f64,
    /// Wind found.
    pub wind: Option<Wind>,
    /// The legs flown.
    pub legs: Vec<LegFlown>,
}

/// A measure over the flights.
#[derive(Clone, Debug, Serialize)]
pub struct Measured {
    /// Which.
    pub measure: Measure,
    /// Its values on each flight.
    pub values: Vec<Values>,
    /// The most that is good enough, by flight: of the [shortfall](Measure::shortfall).
    pub most: Vec<Option<f64>>,
    /// How its shortfall moved.
    pub trend: Trend,
    /// What that says.
    pub change: Change,
    /// How other pilots do: of the shortfall.
    pub others: Option<Spread>,
}

impl Measured {
    /// The most that is good enough, on the last flight.
    #[must_use]
    pub fn most(&self) -> Option<f64> {
        self.most.last().copied().flatten()
    }
}

/// What a trend says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Change {
    /// Too few flights have the measure.
    TooFew,
    /// No more than chance may do.
    NotClear,
    /// Less of it from flight to flight.
    Better,
    /// More of it.
    Worse,
}

/// A leg of a flight, by indices.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct LegAt {
    /// Of [`Review::flights`].
    pub flight: usize,
    /// Of its legs.
    pub leg: usize,
}

/// Reviews flights of one pilot, in whatever order they come. `others` are shortfalls of flights of other pilots.
#[must_use]
pub fn review(
    pilot: &str,
    mut flights: Vec<Flight>,
    others: &[(String, Measure, f64)],
    tolerances: &Tolerances,
) -> Review {
    in_order(&mut flights);
    let others = spread(others);
    let measures = measured(&flights, &others, tolerances);
    let latest = flights.len().min(LATEST);
    let mut causes = causes(&flights[flights.len() - latest..], tolerances);
    for cause in &mut causes {
        let is_of = |measured: &&Measured| Some(measured.measure) == cause.kind.measure();
        let measured = measures.iter().find(is_of);
        cause.lessens = measured.is_some_and(|measured| measured.change == Change::Better);
        if let Some(place) = &mut cause.shown_by {
            place.flight += flights.len() - latest;
        }
    }
    let practise = practise(&causes);
    let remarks = remarks(&flights, &measures);
    let (best, worst) = best_and_worst(&flights);
    Review {
        pilot: pilot.to_owned(),
        legs: labels(&flights),
        measures,
        causes,
        latest,
        practise,
        best,
        worst,
        tolerances: tolerances.clone(),
        remarks,
        flights: flights
            .into_iter()
            .map(|flight| Reviewed {
                sortie: flight.sortie,
                started: flight.started,
                pattern: flight.pattern,
                spacing_m: flight.spacing_m,
                wind: flight.wind,
                legs: flight.legs,
            })
            .collect(),
    }
}

fn labels(flights: &[Flight]) -> Vec<String> {
    let mut by_legs: Vec<&Flight> = flights.iter().collect();
    by_legs.sort_by_key(|flight| std::cmp::Reverse(flight.planned.len()));
    let mut labels: Vec<String> = Vec::new();
    for leg in by_legs.iter().flat_map(|flight| &flight.planned) {
        if !labels.contains(&leg.label) {
            labels.push(leg.label.clone());
        }
    }
    labels
}

fn measured(
    flights: &[Flight],
    others: &BTreeMap<Measure, Spread>,
    tolerances: &Tolerances,
) -> Vec<Measured> {
    let values: Vec<(Measure, Vec<Values>)> = Measure::ALL
        .into_iter()
        .map(|measure| {
            let of = flights.iter().map(|flight| measure.of(flight, tolerances));
            (measure, of.collect())
        })
        .collect();
    let trends: Vec<Trend> = values
        .iter()
        .map(|(measure, values)| {
            let known = values.iter().filter_map(|values| values.flight);
            let shortfalls: Vec<f64> = known.map(|value| measure.shortfall(value)).collect();
            Trend::of(&shortfalls)
        })
        .collect();
    let stands = standing(&trends);
    let all = values.into_iter().zip(trends).zip(stands);
    all.map(|(((measure, values), trend), stands)| Measured {
        measure,
        values,
        most: flights
            .iter()
            .map(|flight| tolerances.most(measure, flight.spacing_m))
            .collect(),
        change: change(&trend, stands),
        trend,
        others: others.get(&measure).copied(),
    })
    .collect()
}

fn change(trend: &Trend, stands: bool) -> Change {
    match trend.slope {
        _ if trend.chance.is_none() => Change::TooFew,
        Some(slope) if stands && slope < 0.0 => Change::Better,
        Some(slope) if stands && slope > 0.0 => Change::Worse,
        _ => Change::NotClear,
    }
}

/// The weightiest causes, one of each kind.
fn practise(causes: &[Cause]) -> Vec<usize> {
    let first_of_kind = |index: &usize| {
        let kind = causes[*index].kind;
        !causes[..*index].iter().any(|cause| cause.kind == kind)
    };
    (0..causes.len())
        .filter(first_of_kind)
        .take(PRACTISE)
        .collect()
}

fn best_and_worst(flights: &[Flight]) -> (Option<LegAt>, Option<LegAt>) {
    let legs = || {
        flights.iter().enumerate().flat_map(|(i, flight)| {
            let shares = flight.legs.iter().map(|leg| leg.p95_m / flight.spacing_m);
            shares
                .enumerate()
                .map(move |(j, share)| (share, LegAt { flight: i, leg: j }))
        })
    };
    let best = legs().min_by(|a, b| a.0.total_cmp(&b.0));
    let worst = legs().max_by(|a, b| a.0.total_cmp(&b.0));
    let (best, worst) = (best.map(|(_, leg)| leg), worst.map(|(_, leg)| leg));
    // Of a single leg nothing is best.
    if best == worst {
        (None, worst)
    } else {
        (best, worst)
    }
}

fn remarks(flights: &[Flight], measures: &[Measured]) -> Vec<String> {
    let mut remarks = Vec::new();
    let count = |what: fn(&Flight) -> bool| flights.iter().filter(|flight| what(flight)).count();
    let few = measures
        .iter()
        .all(|measured| measured.change == Change::TooFew);
    if few {
        remarks.push(format!(
            "Too few flights to tell a trend: {} are here, {} are needed, since with fewer even a strict order is no surprise.",
            flights.len(),
            super::trend::FEWEST
        ));
    }
    let calm = count(|flight| flight.wind.is_none());
    if calm > 0 {
        remarks.push(format!(
            "Of {calm} of {} flights the wind is not known: drift cannot be told from bias there, and speeds are as recorded.",
            flights.len()
        ));
    }
    let moved = count(|flight| flight.is_moved() && !flight.inferred);
    if moved > 0 {
        remarks.push(format!(
            "On {moved} of {} flights the pattern as a whole lay elsewhere; they are left out of what is said of bias, drift and spacing.",
            flights.len()
        ));
    }
    let inferred = count(|flight| flight.inferred);
    if inferred > 0 {
        remarks.push(format!(
            "The plan of {inferred} of {} flights was found in the flight itself, so bias, drift and spacing cannot be judged on them.",
            flights.len()
        ));
    }
    let spacings: Vec<f64> = flights.iter().map(|flight| flight.spacing_m).collect();
    let (least, most) = spacings
        .iter()
        .fold((f64::INFINITY, 0.0f64), |(a, b), s| (a.min(*s), b.max(*s)));
    if most > 1.05 * least {
        remarks.push("The flights have different track spacings; figures in metres are compared as they are, tolerances go with the spacing.".to_owned());
    }
    remarks.push(
        "Adjusted: the receiver's error is taken out of the spread, the wind along a leg out of the ground speed, and drift is given for 10 kt across. Not \
         adjusted, since it cannot be: XTE and turns for gusts and for wind in the turn."
            .to_owned(),
    );
    remarks
}
