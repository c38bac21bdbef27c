//! `[detection]`: what of the flight counts as looking, what is in view, and how well places are known.

use crate::detection::{Scanners, View};
use crate::input::InputError;
use crate::tasking::fields::Section;
use crate::tasking::{FlightTask, LookLimits, POSITION_ERROR};
use crate::units::Length;

/// Greatest error of position that a receiver in flight may have. Chosen: the fix accuracy to be taken for
/// a flight recorder's file that states none (FAI/IGC, *Technical Specification for GNSS Flight
/// Recorders*, appendix A).
const LARGEST_ERROR: Length = Length::from_m(500.0);

/// Heights and speeds within which flight counts as looking; the tasked ones must.
pub(super) fn limits(section: &Section<'_>, flight: &FlightTask) -> Result<LookLimits, InputError> {
    let limits = LookLimits {
        lowest: section.length("lowest")?,
        highest: section.length("highest")?,
        slowest: section.positive_speed("slowest")?,
        fastest: section.positive_speed("fastest")?,
    };
    let rises =
        |low: Option<f64>, high: Option<f64>| low.zip(high).is_none_or(|(low, high)| low < high);
    let (lowest, highest) = (limits.lowest.map(Length::m), limits.highest.map(Length::m));
    section.check("highest", rises(lowest, highest), "must be above `lowest`")?;
    let (slowest, fastest) = (
        limits.slowest.map(|speed| speed.mps()),
        limits.fastest.map(|speed| speed.mps()),
    );
    section.check(
        "fastest",
        rises(slowest, fastest),
        "must be more than `slowest`",
    )?;
    // A band that leaves out what is tasked would count nothing that is flown well.
    let (speed, altitude) = (flight.ground_speed.mps(), flight.altitude.map(Length::m));
    for (key, holds, tasked) in [
        (
            "lowest",
            lowest.zip(altitude).is_none_or(|(low, at)| low <= at),
            "altitude",
        ),
        (
            "highest",
            highest.zip(altitude).is_none_or(|(high, at)| high >= at),
            "altitude",
        ),
        (
            "slowest",
            slowest.is_none_or(|low| low <= speed),
            "ground_speed",
        ),
        (
            "fastest",
            fastest.is_none_or(|high| high >= speed),
            "ground_speed",
        ),
    ] {
        let rule = format!("leaves out the `{tasked}` of [flight]");
        section.check(key, holds, &rule)?;
    }
    Ok(limits)
}

/// Sides looked from and the blind strip, which must leave something of the sweep width.
pub(super) fn view(section: &Section<'_>, sweep_width: Length) -> Result<View, InputError> {
    let scanners = section.choice("scanners", &sides())?;
    let blind = section.length("blind_strip")?.unwrap_or_default();
    section.check(
        "blind_strip",
        blind.m() >= 0.0,
        "must not be less than zero",
    )?;
    section.check(
        "blind_strip",
        blind < sweep_width,
        "must be less than the sweep width",
    )?;
    Ok(View {
        scanners: scanners.unwrap_or(Scanners::Both),
        blind_m: blind.m(),
    })
}

/// Horizontal error of position, 95 %, and whether the tasking gives it.
pub(super) fn position_error(section: &Section<'_>) -> Result<(Length, bool), InputError> {
    let given = section.length("position_error")?;
    section.check(
        "position_error",
        given.is_none_or(|error| error.m() >= 0.0 && error <= LARGEST_ERROR),
        "must be from 0 to 500 m",
    )?;
    Ok((given.unwrap_or(POSITION_ERROR), given.is_some()))
}

const fn sides() -> [(&'static str, Scanners); 3] {
    [
        ("both", Scanners::Both),
        ("left", Scanners::Left),
        ("right", Scanners::Right),
    ]
}
