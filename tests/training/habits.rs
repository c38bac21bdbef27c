//! Whether habits are told as what they are.

use crate::pilots::{Habit, TASKING, flights};
use overflown::simulate::Manner;
use overflown::training::cause::Kind;
use overflown::training::review::Change;
use overflown::training::{Flight, Measure, Review, Tolerances, review};
use overflown::units::Length;
use rayon::prelude::*;

const SEEDS: u64 = 100;

fn reviewed(flights: Vec<Flight>) -> Review {
    review("Pilot", flights, &[], &Tolerances::usual().unwrap())
}

/// In how many of the seeds it holds.
fn count(habits: &[Habit], holds: impl Fn(&Review) -> bool + Sync) -> usize {
    (1..=SEEDS)
        .into_par_iter()
        .filter(|seed| {
            let review = reviewed(flights(habits, *seed));
            let holds = holds(&review);
            if !holds {
                let kinds: Vec<(Kind, f64)> =
                    review.causes.iter().map(|c| (c.kind, c.weight())).collect();
                let changes: Vec<_> = review
                    .measures
                    .iter()
                    .filter(|m| !matches!(m.change, Change::TooFew | Change::NotClear))
                    .map(|m| (m.measure, m.change))
                    .collect();
                println!(
                    "{:?}",
                    review.causes.iter().map(|c| &c.seen).collect::<Vec<_>>()
                );
                println!("seed {seed}: {kinds:?} {changes:?}");
            }
            holds
        })
        .count()
}

fn kinds(review: &Review) -> Vec<Kind> {
    review.causes.iter().map(|cause| cause.kind).collect()
}

/// A steady pilot who flies well is told of no change and of nothing to practise.
#[test]
fn a_steady_pilot_is_told_nothing() {
    let steady = vec![Habit::default(); 6];
    let unchanged = count(&steady, |review| {
        let told = |change| matches!(change, Change::Better | Change::Worse);
        review.causes.is_empty() && !review.measures.iter().any(|m| told(m.change))
    });
    assert!(unchanged >= 95, "{unchanged}");
}

/// Bias that shrinks by 35 m from flight to flight is told as better.
#[test]
fn a_shrinking_bias_is_told() {
    let habits: Vec<Habit> = (0..6)
        .map(|i| Habit {
            right_m: 200.0 - 35.0 * f64::from(i),
            ..Habit::default()
        })
        .collect();
    let told = count(&habits, |review| {
        let bias = review
            .measures
            .iter()
            .find(|m| m.measure == Measure::Bias)
            .unwrap();
        let (low, high) = bias.trend.interval.unwrap();
        bias.change == Change::Better && (low..=high).contains(&-35.0)
    });
    assert!(told >= 95, "{told}");
}

/// Three flights with a habit: it is told, and nothing else but what follows from it.
fn told(habit: Habit, kind: Kind, follow: &[Kind]) {
    let told = count(&vec![habit; 3], |review| {
        let kinds = kinds(review);
        let practised = review.practise.iter().any(|cause| kinds[*cause] == kind);
        practised
            && kinds
                .iter()
                .all(|other| *other == kind || follow.contains(other))
    });
    assert!(told >= 95, "{kind:?}: {told}");
}

#[test]
fn a_steady_bias_is_told() {
    let habit = Habit {
        right_m: -110.0,
        ..Habit::default()
    };
    told(habit, Kind::SteadyBias, &[]);
}

#[test]
fn drift_not_allowed_for_is_told() {
    let habit = Habit {
        wind_share: 0.0,
        least_wind_kt: 12.0,
        manner: Manner {
            drift_learnt_s: f64::INFINITY,
            ..Manner::default()
        },
        ..Habit::default()
    };
    // Who does not allow for the wind turns too wide or too short as well, and joins legs late.
    told(
        habit,
        Kind::DriftUnder,
        &[Kind::WideTurns, Kind::UnequalTurns, Kind::LegsMissed],
    );
}

#[test]
fn a_late_rejoin_is_told() {
    let habit = Habit {
        manner: Manner {
            rejoin_s: 45.0,
            short: Length::from_m(400.0),
            ..Manner::default()
        },
        ..Habit::default()
    };
    told(habit, Kind::LateRejoin, &[Kind::LegsMissed]);
}

#[test]
fn wandering_is_told() {
    let habit = Habit {
        wander_m: 140.0,
        ..Habit::default()
    };
    told(habit, Kind::Wandering, &[Kind::LegsMissed]);
}

#[test]
fn late_turns_are_told() {
    let habit = Habit {
        manner: Manner {
            past_end: Length::from_nm(1.2),
            ..Manner::default()
        },
        ..Habit::default()
    };
    told(habit, Kind::LateTurns, &[]);
}

#[test]
fn wrong_spacing_is_told() {
    let habit = Habit {
        tasking: Some(TASKING.replace("spacing = \"0.5 NM\"", "spacing = \"0.48 NM\"")),
        ..Habit::default()
    };
    told(habit, Kind::Spacing, &[]);
}
