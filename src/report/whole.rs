//! The pattern as a whole against the plan, in the words that page and text share.

use super::format::{course, kt, metres, nm, utc};
use crate::debrief::Debrief;
use crate::measure::PatternShift;
use crate::measure::shift::Offset;

/// What is said where the lines flown do not settle it.
pub const NOT_SETTLED: &str =
    "The straight lines flown do not settle whether the pattern as a whole was shifted or turned.";

/// What is said of a pattern that lay where it was planned.
pub const AS_PLANNED: &str = "As a whole the pattern lay as planned, within the figures below.";

/// Whether there is a pattern to speak of: a leg or two are none.
#[must_use]
pub fn is_told(debrief: &Debrief) -> bool {
    debrief.pattern_shift.is_some() || debrief.legs.len() >= 3
}

/// The figures, each with its name.
#[must_use]
pub fn facts(shift: &PatternShift) -> Vec<(&'static str, String)> {
    let side = if shift.turned_deg < 0.0 {
        "left"
    } else {
        "right"
    };
    let mut facts = vec![
        ("Start of the pattern off by", offset(&shift.offset)),
        (
            "Whole pattern turned by",
            format!(
                "{:.1}° to the {side} ± {:.1}°",
                shift.turned_deg.abs(),
                shift.turned_interval_deg
            ),
        ),
    ];
    if let Some(drift) = &shift.drift {
        facts.push((
            "Drifting",
            format!(
                "{} ± {} towards {}, from {}",
                kt(drift.speed, 1),
                kt(drift.interval, 1),
                course(drift.towards),
                utc(shift.from)
            ),
        ));
    }
    if shift.mirrored {
        facts.push(("Turned to", "the other side than planned".to_owned()));
    }
    facts.push((
        "Legs recognised there",
        format!("{} of {}", shift.legs_recognised, shift.legs.len()),
    ));
    facts.push(("XTE about it (RMS)", metres(shift.rms)));
    facts
}

fn offset(offset: &Offset) -> String {
    let across = if offset.across_only {
        ", across the legs; along them it does not show"
    } else {
        ""
    };
    format!(
        "{} ± {} towards {}{across}",
        nm(offset.distance, 2),
        nm(offset.interval, 2),
        course(offset.towards)
    )
}
