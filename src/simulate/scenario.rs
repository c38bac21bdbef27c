//! From plan and faults to the list of passes to fly.

use super::SimulateError;
use super::faults::{Fault, LegRun};
use super::injection::{apply_faults, bias};
use super::moved::search_legs;
use super::pass::{Legs, Line, Pass};
use super::truth::PassKind;
use crate::geodesy::{Position, geodesic};
use crate::plan::{Leg, Plan};
use crate::units::Length;

/// Neighbours between which an additional leg is flown are parallel to within this. Chosen.
const PARALLEL_DEG: f64 = 10.0;

/// What is to be flown: a leg or the line between two, by index into the search legs.
#[derive(Clone, Copy)]
enum Target {
    Leg(usize),
    Between(usize, usize),
}

/// A target, and the direction if it is settled.
#[derive(Clone, Copy)]
struct Item {
    target: Target,
    reversed: Option<bool>,
}

/// The passes of the flight in order.
pub(super) fn passes(plan: &Plan, faults: &[Fault]) -> Result<Vec<Pass>, SimulateError> {
    let moved = search_legs(plan, faults)?;
    let legs = Legs::of(&moved);
    let items = sequence(&legs, faults)?;
    let mut passes: Vec<Pass> = Vec::with_capacity(items.len());
    let mut before: Option<usize> = None;
    for item in items {
        let previous = passes.last();
        let mut pass = match item.target {
            Target::Leg(index) => {
                let as_planned =
                    previous.is_none_or(|p| before.is_some_and(|b| b + 1 == index) && !p.reversed);
                let reversed = item
                    .reversed
                    .unwrap_or_else(|| !as_planned && nearer_end(previous, legs.all[index]));
                leg_pass(legs.all[index], reversed, &passes)
            }
            Target::Between(a, b) => between_pass(legs.all[a], legs.all[b], previous)?,
        };
        before = match item.target {
            Target::Leg(index) => Some(index),
            Target::Between(..) => None,
        };
        if before.is_none() {
            pass.aim_m = bias(faults, None);
        }
        passes.push(pass);
    }
    apply_faults(plan, &legs, faults, &mut passes)?;
    Ok(passes)
}

/// The targets in the order flown.
fn sequence(legs: &Legs, faults: &[Fault]) -> Result<Vec<Item>, SimulateError> {
    let settled = |target| Item {
        target,
        reversed: None,
    };
    let mut items: Vec<Item> = (0..legs.all.len())
        .map(|i| settled(Target::Leg(i)))
        .collect();
    for fault in faults {
        if let Fault::Order(order) = fault {
            items = order
                .iter()
                .map(|&LegRun { leg, reversed }| {
                    Ok(Item {
                        target: Target::Leg(legs.index(leg)?),
                        reversed: Some(reversed),
                    })
                })
                .collect::<Result<_, SimulateError>>()?;
        }
    }
    for fault in faults {
        if let Fault::SkipLeg(number) = *fault {
            let skipped = legs.index(number)?;
            items.retain(|item| !matches!(item.target, Target::Leg(i) if i == skipped));
        }
    }
    for fault in faults {
        match *fault {
            Fault::FlyTwice(number) => {
                let index = legs.index(number)?;
                insert_after(&mut items, index, number, settled(Target::Leg(index)))?;
            }
            Fault::ExtraAfter(number) => {
                let index = legs.index(number)?;
                if index + 1 >= legs.all.len() {
                    return Err(SimulateError::NoLegAfter { number });
                }
                let target = Target::Between(index, index + 1);
                insert_after(&mut items, index, number, settled(target))?;
            }
            _ => {}
        }
    }
    if faults.contains(&Fault::Interleave) {
        let pairs = (1..legs.all.len()).rev();
        items.extend(pairs.map(|i| settled(Target::Between(i - 1, i))));
    }
    if items.is_empty() {
        return Err(SimulateError::NothingFlown);
    }
    Ok(items)
}

fn insert_after(
    items: &mut Vec<Item>,
    index: usize,
    number: u32,
    item: Item,
) -> Result<(), SimulateError> {
    let at = items
        .iter()
        .position(|item| matches!(item.target, Target::Leg(i) if i == index))
        .ok_or(SimulateError::LegNotFlown { number })?;
    items.insert(at + 1, item);
    Ok(())
}

/// Whether the end of the leg is nearer than its start to where the last pass ends.
fn nearer_end(previous: Option<&Pass>, leg: &Leg) -> bool {
    previous.is_some_and(|pass| {
        geodesic::distance(pass.line.end, leg.end) < geodesic::distance(pass.line.end, leg.start)
    })
}

fn leg_pass(leg: &Leg, reversed: bool, earlier: &[Pass]) -> Pass {
    let again = earlier
        .iter()
        .any(|p| p.label == leg.label && p.kind != PassKind::Additional);
    let line = if reversed {
        Line::new(leg.end, leg.start)
    } else {
        Line::new(leg.start, leg.end)
    };
    Pass {
        label: leg.label.clone(),
        kind: if again {
            PassKind::Again
        } else {
            PassKind::Planned
        },
        reversed,
        line,
        altitude: leg.altitude,
        aim_m: 0.0,
        leave_m: None,
        events: Vec::new(),
    }
}

/// The pass midway between two neighbouring legs, from the end nearer to the aircraft.
fn between_pass(a: &Leg, b: &Leg, previous: Option<&Pass>) -> Result<Pass, SimulateError> {
    let turn = a.course.turn_to(b.course).abs();
    let (near_start, near_end) = if turn > 180.0 - PARALLEL_DEG {
        (b.end, b.start)
    } else if turn < PARALLEL_DEG {
        (b.start, b.end)
    } else {
        return Err(SimulateError::NoLegBetween {
            first: a.label.clone(),
            second: b.label.clone(),
        });
    };
    let midway = Leg {
        altitude: a.altitude,
        ..Leg::new(
            format!("between {} and {}", a.label, b.label),
            a.kind,
            midpoint(a.start, near_start),
            midpoint(a.end, near_end),
        )
    };
    let mut pass = leg_pass(&midway, nearer_end(previous, &midway), &[]);
    pass.kind = PassKind::Additional;
    // Nobody planned it, so no direction is against the plan.
    pass.reversed = false;
    Ok(pass)
}

fn midpoint(a: Position, b: Position) -> Position {
    let line = geodesic::between(a, b);
    geodesic::destination(
        a,
        line.course_at_start,
        Length::from_m(line.distance.m() / 2.0),
    )
}
