//! Putting onto the passes what the faults let happen on them.

use super::SimulateError;
use super::faults::Fault;
use super::pass::{Event, Happening, Legs, Pass};
use super::settings::within;
use super::truth::PassKind;
use crate::plan::Plan;
use crate::units::Length;

/// Most full circles in one orbit, longest silence and longest time outside. Chosen: an hour and
/// more of any of them is a flight of its own.
const MAX_TURNS: f64 = 50.0;
const MAX_DROPOUT_S: f64 = 36_000.0;
const OUTSIDE_S: std::ops::RangeInclusive<f64> = 5.0..=1800.0;
/// How far right of the line the pilot is to aim, metres.
pub(super) fn bias(faults: &[Fault], label: Option<&str>) -> f64 {
    faults
        .iter()
        .map(|fault| match fault {
            Fault::LateralBias { leg: None, right } => right.m(),
            Fault::LateralBias {
                leg: Some(number),
                right,
            } if label.is_some_and(|l| l == number.to_string()) => right.m(),
            _ => 0.0,
        })
        // Not `sum`, which makes nothing at all -0.
        .fold(0.0, |sum, right| sum + right)
}

/// Puts onto the passes what is to happen on them.
pub(super) fn apply_faults(
    plan: &Plan,
    legs: &Legs,
    faults: &[Fault],
    passes: &mut [Pass],
) -> Result<(), SimulateError> {
    for pass in passes.iter_mut().filter(|p| p.kind != PassKind::Additional) {
        pass.aim_m = bias(faults, Some(&pass.label));
    }
    // Cuts first: nothing can happen behind them.
    for fault in faults {
        match fault {
            Fault::LateralBias { leg, right } => {
                if let Some(number) = *leg {
                    find(legs, passes, number)?;
                }
                within("bias", "NM", right.nm(), &(-5.0..=5.0))?;
            }
            Fault::CutShort { leg, by } => {
                let pass = find(legs, passes, *leg)?;
                let length = pass.line.frame.length();
                let what = format!("cut of leg {leg}");
                within(&what, "NM", by.nm(), &(0.0..=length.nm()))?;
                pass.leave_m = Some(length.m() - by.m());
            }
            _ => {}
        }
    }
    for fault in faults {
        match *fault {
            Fault::Orbit {
                leg,
                along,
                turns,
                side,
            } => {
                within(
                    "number of circles",
                    "",
                    f64::from(turns),
                    &(1.0..=MAX_TURNS),
                )?;
                let what = Happening::Orbit { turns, side };
                add_event(find(legs, passes, leg)?, leg, along, what)?;
            }
            Fault::Dropout {
                leg,
                along,
                duration_s,
            } => {
                within(
                    "silence of the receiver",
                    "s",
                    duration_s,
                    &(0.0..=MAX_DROPOUT_S),
                )?;
                let what = Happening::Dropout { duration_s };
                add_event(find(legs, passes, leg)?, leg, along, what)?;
            }
            Fault::Excursion {
                leg,
                along,
                outside_s,
            } => {
                within("time outside the area", "s", outside_s, &OUTSIDE_S)?;
                let what = Happening::Excursion { outside_s };
                let pass = find(legs, passes, leg)?;
                add_event(pass, leg, along, what)?;
                let planned = legs.all[legs.index(leg)?];
                if !plan.area.contains(plan.frame.forward(planned.at(along))) {
                    return Err(SimulateError::NotInArea { number: leg });
                }
            }
            _ => {}
        }
    }
    for pass in passes {
        pass.events.sort_by(|a, b| a.along_m.total_cmp(&b.along_m));
    }
    Ok(())
}

/// The first pass along a leg.
fn find<'p>(
    legs: &Legs,
    passes: &'p mut [Pass],
    number: u32,
) -> Result<&'p mut Pass, SimulateError> {
    let label = &legs.all[legs.index(number)?].label;
    passes
        .iter_mut()
        .find(|p| p.kind != PassKind::Additional && p.label == *label)
        .ok_or(SimulateError::LegNotFlown { number })
}

fn add_event(
    pass: &mut Pass,
    number: u32,
    along: Length,
    what: Happening,
) -> Result<(), SimulateError> {
    let length_m = pass.line.length_m();
    let flown_m = pass.leave_m.unwrap_or(length_m);
    let range_m = if pass.reversed {
        length_m - flown_m..=length_m
    } else {
        0.0..=flown_m
    };
    let range_nm = Length::from_m(*range_m.start()).nm()..=Length::from_m(*range_m.end()).nm();
    within(
        &format!("place on leg {number}"),
        "NM",
        along.nm(),
        &range_nm,
    )?;
    let along_m = if pass.reversed {
        length_m - along.m()
    } else {
        along.m()
    };
    pass.events.push(Event { along_m, what });
    Ok(())
}
