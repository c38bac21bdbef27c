//! Steady bias, drift and wrong spacing, as the fit tells them apart.

use super::fit::{Fit, Fitted};
use super::{Cause, Flights, Kind, words};
use crate::training::measures::{CROSSWIND_SHOWN, Measure};

pub(super) fn causes(all: &Flights<'_>, fit: &Fit) -> Vec<Cause> {
    let found = [bias(all, fit), drift(all, fit), spacing(all, fit)];
    found.into_iter().flatten().collect()
}

/// The tolerance across the legs: no less than what the receiver may be off, which is nobody's fault.
fn most_m(all: &Flights<'_>, measure: Measure) -> Option<f64> {
    let errors = all.in_place().map(|(_, flight)| flight.position_error_m);
    let error_m = errors.fold(0.0, f64::max);
    all.tolerances
        .most(measure, all.spacing_m())
        .map(|most| most.max(error_m))
}

/// The value, if it is both no chance and beyond the tolerance.
fn beyond(fitted: Fitted, most: f64) -> Option<Fitted> {
    (fitted.is_sure() && fitted.value.abs() >= most).then_some(fitted)
}

fn bias(all: &Flights<'_>, fit: &Fit) -> Option<Cause> {
    let most = most_m(all, Measure::Bias)?;
    let bias = beyond(fit.bias, most)?;
    Some(Cause {
        kind: Kind::SteadyBias,
        size: bias.value,
        interval: Some(bias.interval()),
        tolerance: most,
        seen: words::bias(bias.value, bias.half),
        practise: words::PRACTISE_BIAS.to_owned(),
        may_follow_drift: false,
        lessens: false,
        shown_by: all.place(|_, leg| Some(leg.mean_m * bias.value.signum())),
    })
}

fn drift(all: &Flights<'_>, fit: &Fit) -> Option<Cause> {
    let (by_wind, mean_wind) = fit.by_wind?;
    let most = most_m(all, Measure::Downwind)?;
    let drift = beyond(by_wind.times(CROSSWIND_SHOWN.mps()), most)?;
    let met = by_wind.times(mean_wind);
    let under = drift.value > 0.0;
    Some(Cause {
        kind: if under {
            Kind::DriftUnder
        } else {
            Kind::DriftOver
        },
        size: drift.value,
        interval: Some(drift.interval()),
        tolerance: most,
        seen: words::drift(met.value, met.half, mean_wind),
        practise: words::practise_drift(under),
        may_follow_drift: false,
        lessens: false,
        shown_by: all
            .place(|_, leg| Some(leg.mean_m * leg.crosswind_mps?.signum() * drift.value.signum())),
    })
}

fn spacing(all: &Flights<'_>, fit: &Fit) -> Option<Cause> {
    let spacing_m = all.spacing_m();
    let most = all.tolerances.most(Measure::Spacing, spacing_m)?;
    // It adds up: the last leg is off by that of all of them.
    let legs = all.in_place().map(|(_, flight)| flight.planned.len());
    let steps = legs.max()?.saturating_sub(1).max(1) as f64;
    let wider = fit.closer?.times(-1.0 / spacing_m);
    let share = beyond(wider, most / steps)?;
    Some(Cause {
        kind: Kind::Spacing,
        size: share.value,
        interval: Some(share.interval()),
        tolerance: most / steps,
        seen: words::spacing(share.value, share.half, spacing_m),
        practise: words::PRACTISE_SPACING.to_owned(),
        may_follow_drift: false,
        lessens: false,
        shown_by: all.place(|_, leg| Some(leg.mean_m.abs())),
    })
}
