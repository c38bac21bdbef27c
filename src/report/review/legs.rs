//! XTE along the legs: flight by flight, leg by leg, and two legs by themselves.

use super::panels::{Drawn, Panel, draw};
use crate::report::drawing::{Pen, Scene};
use crate::report::palette::Ink;
use crate::training::Review;
use crate::training::review::LegAt;

/// Legs that get a panel of their own, the first of the pattern. Chosen: a page of them.
pub const LEGS_SHOWN: usize = 24;

/// One panel a flight, all its legs laid on each other.
#[must_use]
pub fn by_flight(review: &Review) -> Scene {
    let panels = (1..).zip(&review.flights).map(|(number, flight)| Panel {
        title: format!(
            "{number}  {}, {}",
            flight.sortie,
            flight.started.date_naive()
        ),
        legs: flight
            .legs
            .iter()
            .map(|leg| (leg, Pen::solid(Ink::SearchLeg, 1.1)))
            .collect(),
        tolerance_m: review.tolerances.cross_track_m(flight.spacing_m),
    });
    draw(&panels.collect::<Vec<_>>()).scene
}

/// One panel a leg of the pattern, all flights of it laid on each other, the latest one above the others; `None` of a single flight.
#[must_use]
pub fn by_leg(review: &Review) -> Option<Scene> {
    if review.flights.len() < 2 {
        return None;
    }
    let latest = review.flights.len() - 1;
    let panel = |label: &String| {
        let flown = review.flights.iter().enumerate().flat_map(|(at, flight)| {
            let pen = if at == latest {
                Pen::solid(Ink::SearchLeg, 2.2)
            } else {
                Pen::solid(Ink::Faint, 0.9)
            };
            let legs = flight.legs.iter().filter(|leg| &leg.label == label);
            legs.map(move |leg| (leg, pen))
        });
        let latest_m = review.flights[latest].spacing_m;
        Panel {
            title: format!("Leg {label}"),
            legs: flown.collect(),
            tolerance_m: review.tolerances.cross_track_m(latest_m),
        }
    };
    let panels: Vec<Panel<'_>> = review.legs.iter().take(LEGS_SHOWN).map(panel).collect();
    (!panels.is_empty()).then(|| draw(&panels).scene)
}

/// The best leg and the one farthest off, as far as there are such.
#[must_use]
pub fn best_and_worst(review: &Review) -> Option<(Vec<LegAt>, Drawn)> {
    let panel = |(what, at): (&str, Option<LegAt>)| {
        let at = at?;
        let flight = review.flights.get(at.flight)?;
        let leg = flight.legs.get(at.leg)?;
        let panel = Panel {
            title: format!("{what}: leg {} of {}", leg.label, flight.sortie),
            legs: vec![(leg, Pen::solid(Ink::SearchLeg, 1.8))],
            tolerance_m: review.tolerances.cross_track_m(flight.spacing_m),
        };
        Some((at, panel))
    };
    let wanted = [("Best", review.best), ("Farthest off", review.worst)];
    let (legs, panels): (Vec<LegAt>, Vec<Panel<'_>>) = wanted.into_iter().filter_map(panel).unzip();
    (!panels.is_empty()).then(|| (legs, draw(&panels)))
}
