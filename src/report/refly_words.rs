//! What a re-fly costs and brings, in sentences, and the files it is in, for every report alike.

use super::format::{about, counted, nm, percent};
use crate::refly::tasked::{FILE, Tasked};
use crate::refly::{Outcome, Refly};

/// Names of the files, which are there only where there is something to fly again.
pub const FILES: [&str; 3] = [FILE, "refly.html", "refly.geojson"];

/// What is added to the list of the files written where these are not among them for want of anything to fly.
#[must_use]
pub fn none_of(refly: &Refly) -> &'static str {
    if refly.legs.is_empty() {
        "; nothing to fly again, so no refly.toml, refly.html, refly.geojson"
    } else {
        ""
    }
}

/// The files in which the legs of a re-fly stand, for people.
#[must_use]
pub fn named(tasked: Option<&Tasked>) -> String {
    let names = FILES.into_iter().filter(|_| tasked.is_some());
    let names: Vec<&str> = names.chain(["refly.gpx"]).collect();
    names.join(", ")
}

/// `3 legs in about 24 min: 20.1 NM to search, 36.2 NM with turns (0.48 NM radius) and transits.`
#[must_use]
pub fn cost(refly: &Refly) -> String {
    let outcome = &refly.outcome;
    format!(
        "{} in {}: {} to search, {} with turns ({} radius){}.",
        counted(outcome.passes, "leg"),
        about(outcome.duration_s),
        nm(outcome.search_length, 1),
        nm(outcome.total_length, 1),
        nm(refly.turn_radius, 2),
        if refly.from_base {
            " and transits from and to the base"
        } else {
            "; transits not counted, for no base is tasked"
        }
    )
}

/// What it brings, beside flying every leg with a hole again.
#[must_use]
pub fn gain(refly: &Refly) -> String {
    let whole = &refly.every_leg;
    format!(
        "POD over the area rises from {} to about {}, {}. Flying every leg with a hole again from end to end \
         instead: {} in {}, POD about {}, {}.",
        percent(refly.pod_before),
        percent(refly.outcome.pod),
        left(&refly.outcome),
        counted(whole.passes, "leg"),
        about(whole.duration_s),
        percent(whole.pod),
        left(whole)
    )
}

/// `2 strips are left with holes`.
#[must_use]
pub fn left(outcome: &Outcome) -> String {
    match outcome.strips_left {
        0 => "no strip is left with a hole".to_owned(),
        1 => "1 strip is left with a hole".to_owned(),
        n => format!("{n} strips are left with holes"),
    }
}

/// `After: POD about 75 %, no strip is left with a hole`.
#[must_use]
pub fn after(outcome: &Outcome) -> String {
    format!(
        "After: POD about {}, {}",
        percent(outcome.pod),
        left(outcome)
    )
}
