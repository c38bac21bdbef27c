//! The flight before it is flown: a plan turned into the log an aircraft would write.
//!
//! ```text
//! Plan, faults ─scenario, injection→ passes ─pilot→ true flight ─receiver→ fixes ─gpx_out→ file
//!                                                       └─record→ Truth
//! ```
//!
//! `aircraft` is kinematics (coordinated turns in moving air over the ellipsoid), `guidance` how a
//! pilot steers along a line, `turnaround` the turn from leg to leg, `pilot` the pattern, `detours`
//! what leaves it on purpose, `ground` take-off and landing; `flight` moves all of it on by one
//! step. The same plan, settings and seed give the same flight; how it is recorded does not change
//! how it is flown.

mod aircraft;
mod detours;
mod error;
pub mod faults;
mod flight;
pub mod gpx_out;
mod ground;
mod guidance;
mod injection;
mod moved;
mod noise;
mod pass;
mod pilot;
mod receiver;
mod record;
mod scenario;
pub mod settings;
pub mod truth;
mod turnaround;

pub use aircraft::{GRAVITY_MPS2, turn_radius};
pub use error::SimulateError;
pub use faults::{Fault, LegRun};
pub use settings::{Manner, ReceiverNoise, Settings, Wind};
pub use truth::Truth;

use crate::geodesy::geodesic;
use crate::plan::Plan;
use crate::track::Fix;
use crate::units::Length;
use flight::{Flight, MAX_HOURS};
use pass::Pass;

/// Where the flight begins if no base is given: this far before the first leg.
const BASE_BEFORE_START: Length = Length::from_nm(6.0);

/// A flight that was simulated.
#[derive(Clone, Debug)]
pub struct Rehearsal {
    /// What the receiver recorded; `line` is that of the file written by [`gpx_out::write`].
    pub fixes: Vec<Fix>,
    /// What really happened.
    pub truth: Truth,
}

/// Flies a plan: from the base to the first leg, along the legs as the faults say, and back.
///
/// # Errors
/// When a setting is out of range, a fault does not fit the plan, or the flight would not end.
pub fn simulate(plan: &Plan, settings: &Settings, seed: u64) -> Result<Rehearsal, SimulateError> {
    settings.check(plan.frame.origin())?;
    let passes = scenario::passes(plan, &settings.faults)?;
    let Some(first) = passes.first() else {
        return Err(SimulateError::NothingFlown);
    };
    refuse_endless(&passes, settings)?;
    let base = settings.base.unwrap_or_else(|| {
        let back = first.line.course_at_start.reversed();
        geodesic::destination(first.line.start, back, BASE_BEFORE_START)
    });
    let mut flight = Flight::new(plan, settings, seed, base);
    let mut truth = Truth::at_start(settings, seed);
    truth.airborne = flight.take_off(first.line.start)?;
    if settings.faults.contains(&Fault::CornerSurvey) {
        truth.corner_survey = Some(flight.survey_corners(&first.line)?);
    }
    flight.fly_passes(&passes, &mut truth)?;
    truth.landed = flight.land(base)?;
    truth.to = flight.now();
    truth.distance = Length::from_m(flight.distance_m);
    truth.skipped = plan
        .search_legs()
        .map(|(_, leg)| &leg.label)
        .filter(|label| !truth.passes.iter().any(|pass| pass.leg == **label))
        .cloned()
        .collect();
    Ok(Rehearsal {
        fixes: flight.receiver.into_fixes(),
        truth,
    })
}

/// Refuses at once what even in a tail wind would take longer than the longest flight.
fn refuse_endless(passes: &[Pass], settings: &Settings) -> Result<(), SimulateError> {
    let length_m: f64 = passes.iter().map(|pass| pass.line.length_m()).sum();
    let fastest_mps = settings.airspeed.mps() + settings.wind.speed.mps();
    if length_m / fastest_mps > MAX_HOURS * 3600.0 {
        return Err(SimulateError::TooLong { hours: MAX_HOURS });
    }
    Ok(())
}
