//! The pattern flown elsewhere as a whole: shifted, turned, mirrored, or carried along.

use super::SimulateError;
use super::aircraft::Velocity;
use super::faults::Fault;
use super::settings::within;
use crate::geodesy::{Position, geodesic};
use crate::plan::{Leg, Plan};
use crate::units::{Bearing, Length};

/// Farthest shift, NM, and fastest carrying, kt. Chosen: beyond, it is another search.
const MOST_SHIFT_NM: f64 = 20.0;
const MOST_CARRIED_KT: f64 = 60.0;

/// The search legs of a plan as they are flown with these faults. The pattern is turned and mirrored
/// about the start of its first search leg, in a sector search and an expanding square the datum.
pub(super) fn search_legs(plan: &Plan, faults: &[Fault]) -> Result<Vec<Leg>, SimulateError> {
    let planned: Vec<&Leg> = plan.search_legs().map(|(_, leg)| leg).collect();
    let Some(first) = planned.first() else {
        return Err(SimulateError::NoLegs);
    };
    let (mut turned_deg, mut mirrored, mut start) = (0.0, false, first.start);
    for fault in faults {
        match *fault {
            Fault::Turned { right_deg } => {
                within(
                    "turn of the pattern",
                    "degrees",
                    right_deg,
                    &(-180.0..=180.0),
                )?;
                turned_deg += right_deg;
            }
            Fault::Shifted { by, towards } => {
                within(
                    "shift of the pattern",
                    "NM",
                    by.nm(),
                    &(0.0..=MOST_SHIFT_NM),
                )?;
                start = geodesic::destination(start, towards, by);
            }
            Fault::Mirrored => mirrored = true,
            Fault::Carried { at, .. } => {
                within(
                    "drift of the pattern",
                    "kt",
                    at.kt(),
                    &(0.0..=MOST_CARRIED_KT),
                )?;
            }
            _ => {}
        }
    }
    if turned_deg == 0.0 && !mirrored && start == first.start {
        return Ok(planned.into_iter().cloned().collect());
    }
    let place = |planned: Position| {
        let way = geodesic::between(first.start, planned);
        let from_first_deg = first.course.turn_to(way.course_at_start);
        let from_first_deg = if mirrored {
            -from_first_deg
        } else {
            from_first_deg
        };
        let course = first.course.turned(from_first_deg + turned_deg);
        geodesic::destination(start, course, Length::from_m(way.distance.m()))
    };
    Ok(planned
        .iter()
        .map(|leg| {
            Leg::new(
                leg.label.clone(),
                leg.kind,
                place(leg.start),
                place(leg.end),
            )
        })
        .collect())
}

/// The velocity with which the pattern moves over the ground.
pub(super) fn carried(faults: &[Fault]) -> Velocity {
    faults
        .iter()
        .map(|fault| match *fault {
            Fault::Carried { at, towards } => {
                Velocity::towards(towards.deg().to_radians(), at.mps())
            }
            _ => Velocity::default(),
        })
        .fold(Velocity::default(), |sum, each| sum + each)
}

/// Where a place lies on the pattern, seen from where the pattern was `seconds` ago.
pub(super) fn carried_back(place: Position, velocity: Velocity, seconds: f64) -> Position {
    let way_m = velocity.speed() * seconds;
    if way_m == 0.0 {
        return place;
    }
    let towards = Bearing::from_deg(velocity.east.atan2(velocity.north).to_degrees());
    geodesic::destination(place, towards.reversed(), Length::from_m(way_m))
}
