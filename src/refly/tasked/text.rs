//! The text of the tasking file. Every quantity is read back as the very number that it was written from.

use super::Task;
use crate::coverage::Looks;
use crate::detection::Scanners;
use crate::refly::{Refly, ReflyLeg};
use crate::tasking::write::{comment, length, place, quoted, speed};
use crate::tasking::{LookLimits, POSITION_ERROR};

/// Most characters of a name that " re-fly" is added to; a sortie has at most 80.
const LONGEST_NAME: usize = 73;
/// Greatest spread of a sweep width that a tasking takes; a table may doubt a width altogether.
const WIDEST_SPREAD: f64 = 0.99;

/// The file.
pub(super) fn text(refly: &Refly, task: &Task<'_>) -> String {
    let name: String = task.of.chars().take(LONGEST_NAME).collect();
    let mut lines = vec![
        format!(
            "# {} leg(s) over the holes of {}, worked out by overflown {}.",
            refly.legs.len(),
            comment(task.of),
            env!("CARGO_PKG_VERSION")
        ),
        "# A planning aid, not for navigation: the crew checks positions, heights, terrain, airspace, \
         weather and fuel."
            .to_owned(),
        "# The date is that of the last sortie: set it to the day of the flight.".to_owned(),
        format!("sortie = {}", quoted(&format!("{name} re-fly"))),
        format!("date = {}", task.date),
    ];
    if let Some(corners) = task.area {
        lines.extend(["".to_owned(), "[area]".to_owned(), "corners = [".to_owned()]);
        // To the last digit, so that it is the very area that was searched.
        lines.extend(
            corners
                .iter()
                .map(|at| format!("    [{}, {}],", at.lat(), at.lon())),
        );
        lines.push("]".to_owned());
    }
    lines.extend(pattern(&refly.legs, task));
    lines.extend(["".to_owned(), "[flight]".to_owned()]);
    lines.push(format!("ground_speed = {}", speed(refly.ground_speed)));
    lines.extend(
        task.altitude
            .map(|altitude| format!("altitude = {}", length(altitude))),
    );
    lines.extend(task.base.map(|base| format!("base = {}", place(base))));
    lines.extend(["".to_owned(), "[detection]".to_owned()]);
    lines.extend(
        task.search_object
            .map(|object| format!("search_object = {}", quoted(object))),
    );
    lines.extend(detection(task.looks));
    lines.push(String::new());
    lines.join("\n")
}

fn pattern(legs: &[ReflyLeg], task: &Task<'_>) -> Vec<String> {
    let labels: Vec<String> = legs.iter().map(|leg| quoted(&leg.label)).collect();
    let mut lines = vec![
        String::new(),
        "[pattern]".to_owned(),
        "kind = \"legs\"".to_owned(),
        format!("spacing = {}", length(task.looks.spacing)),
        format!("labels = [{}]", labels.join(", ")),
    ];
    if legs.iter().any(|leg| leg.altitude.is_some()) {
        let altitudes: Vec<String> = legs
            .iter()
            .map(|leg| leg.altitude.or(task.altitude))
            .map(|altitude| altitude.map_or_else(|| "\"none\"".to_owned(), length))
            .collect();
        lines.push(format!("altitudes = [{}]", altitudes.join(", ")));
    }
    lines.push("lines = [".to_owned());
    for leg in legs {
        let mends = match leg.mends.as_slice() {
            [] => "to raise the POD".to_owned(),
            mends => format!("strip {}", comment(&mends.join(", "))),
        };
        lines.push(format!(
            "    [{}, {}],  # {}: {:.2} NM, {mends}",
            place(leg.start),
            place(leg.end),
            leg.label,
            leg.length.nm()
        ));
    }
    lines.push("]".to_owned());
    lines
}

/// How the ground is looked at; what a tasking takes by default is left out.
fn detection(looks: &Looks) -> Vec<String> {
    let Looks {
        sweep_width,
        sweep_width_low: low,
        sweep_width_high: high,
        ..
    } = *looks;
    // A table doubts a width to one side more than to the other; a tasking knows one spread, the wider.
    let less = 1.0 - low.m() / sweep_width.m();
    let more = high.m() / sweep_width.m() - 1.0;
    let spread = less.max(more).min(WIDEST_SPREAD);
    let percent = (spread * 1e6).round() / 1e4;
    let LookLimits {
        lowest,
        highest,
        slowest,
        fastest,
    } = looks.limits;
    let view = looks.look().view;
    let blind = (view.blind_m > 0.0).then_some(looks.blind_strip);
    let error = (looks.position_error != POSITION_ERROR).then_some(looks.position_error);
    let key = |key: &str, value: Option<String>| value.map(|value| format!("{key} = {value}"));
    [
        key("sweep_width", Some(length(sweep_width))),
        key(
            "sweep_width_spread",
            (percent > 0.0).then(|| format!("\"{percent} %\"")),
        ),
        key("search_height", looks.search_height.map(length)),
        key("law", Some(quoted(looks.law.name()))),
        key(
            "scanners",
            match view.scanners {
                Scanners::Both => None,
                Scanners::Left => Some("\"left\"".to_owned()),
                Scanners::Right => Some("\"right\"".to_owned()),
            },
        ),
        key("blind_strip", blind.map(length)),
        key("lowest", lowest.map(length)),
        key("highest", highest.map(length)),
        key("slowest", slowest.map(speed)),
        key("fastest", fastest.map(speed)),
        key("position_error", error.map(length)),
    ]
    .into_iter()
    .flatten()
    .collect()
}
