//! Separate straight legs.

use super::pattern::{LONGEST_LEG, MAX_LEGS, spacing};
use crate::geodesy::{Position, geodesic};
use crate::input::InputError;
use crate::tasking::fields::Section;
use crate::tasking::quantity::{self, at_most, shown};
use crate::tasking::{LegsTask, SeparateLeg};
use crate::units::Length;

pub(super) const LEGS: [&str; 5] = ["kind", "lines", "labels", "altitudes", "spacing"];

/// A leg is at least this long, in spacings. Chosen: a shorter one is all turn; half a spacing, less what the
/// rounding of its places may cost.
const SHORTEST_SPACINGS: f64 = 0.49;
/// Longest label. Chosen: it stands in tables and on maps.
const LONGEST_LABEL: usize = 12;
/// Written in `altitudes` for a leg without a height of its own.
pub(crate) const NO_ALTITUDE: &str = "none";

/// The legs, in the order to fly.
pub(super) fn legs(section: &Section<'_>) -> Result<LegsTask, InputError> {
    let spacing = spacing(section)?;
    let lines = section.lines("lines")?;
    let lines = section.require("lines", lines, "[[[47.0, 12.4], [47.2, 12.4]]]")?;
    section.check("lines", !lines.is_empty(), "must hold at least one line")?;
    section.check(
        "lines",
        lines.len() <= MAX_LEGS as usize,
        &format!("must hold at most {MAX_LEGS} lines"),
    )?;
    let ends = lines
        .iter()
        .enumerate()
        .map(|(i, line)| ends(section, i, line, spacing))
        .collect::<Result<Vec<_>, _>>()?;
    let labels = labels(section, lines.len())?;
    let altitudes = altitudes(section, lines.len())?;
    let legs = ends.into_iter().zip(labels).zip(altitudes);
    Ok(LegsTask {
        spacing,
        legs: legs
            .map(|(((start, end), label), altitude)| SeparateLeg {
                label,
                start,
                end,
                altitude,
            })
            .collect(),
    })
}

fn ends(
    section: &Section<'_>,
    index: usize,
    line: &[Position],
    spacing: Length,
) -> Result<(Position, Position), InputError> {
    let refuse = |problem: String, hint: String| {
        let problem = format!("line {} of `lines` in [pattern] {problem}", index + 1);
        Err(section.error_in("lines", index, problem, hint))
    };
    let &[start, end] = line else {
        return refuse(
            format!("has {} place(s)", line.len()),
            "give two places, the beginning and the end of a straight leg; one that bends is several \
             lines"
                .to_owned(),
        );
    };
    let length = geodesic::distance(start, end);
    if length.m() < 1.0 {
        return refuse(
            "begins and ends at the same place".to_owned(),
            "give it another end, or leave it out".to_owned(),
        );
    }
    if length > LONGEST_LEG {
        return refuse(
            format!("is {:.0} NM long", length.nm()),
            format!("a leg is at most {:.0} NM long", LONGEST_LEG.nm()),
        );
    }
    if length.m() < SHORTEST_SPACINGS * spacing.m() {
        return refuse(
            format!(
                "is {:.2} NM long, less than half of the `spacing` of {:.2} NM",
                length.nm(),
                spacing.nm()
            ),
            format!(
                "give a longer line, or a `spacing` of at most {}",
                at_most(Length::from_m(length.m() * 2.0))
            ),
        );
    }
    Ok((start, end))
}

fn labels(section: &Section<'_>, count: usize) -> Result<Vec<String>, InputError> {
    let Some(given) = section.texts("labels")? else {
        return Ok((1..=count).map(|number| number.to_string()).collect());
    };
    same_count(section, "labels", given.len(), count)?;
    let mut labels: Vec<String> = Vec::with_capacity(count);
    for (i, text) in given.into_iter().enumerate() {
        let label = text.trim();
        let problem = if label.is_empty() || label.chars().count() > LONGEST_LABEL {
            format!("must be of 1 to {LONGEST_LABEL} characters")
        } else if labels.iter().any(|other| other == label) {
            "is given twice".to_owned()
        } else {
            labels.push(label.to_owned());
            continue;
        };
        let problem = format!("label {} of `labels` in [pattern] {problem}", shown(text));
        let hint = "give every leg a short label of its own, such as \"R1\"";
        return Err(section.error_in("labels", i, problem, hint));
    }
    Ok(labels)
}

fn altitudes(section: &Section<'_>, count: usize) -> Result<Vec<Option<Length>>, InputError> {
    let Some(given) = section.texts("altitudes")? else {
        return Ok(vec![None; count]);
    };
    same_count(section, "altitudes", given.len(), count)?;
    let altitude = |(i, text): (usize, &str)| {
        if text.trim().eq_ignore_ascii_case(NO_ALTITUDE) {
            return Ok(None);
        }
        quantity::length(text).map(Some).map_err(|error| {
            let problem = format!("`altitudes` in [pattern]: {}", error.problem);
            let hint = format!("each takes {}, or \"{NO_ALTITUDE}\"", error.accepted);
            section.error_in("altitudes", i, problem, hint)
        })
    };
    given.into_iter().enumerate().map(altitude).collect()
}

/// Refuses a list that does not go with the lines one by one.
fn same_count(
    section: &Section<'_>,
    key: &str,
    given: usize,
    lines: usize,
) -> Result<(), InputError> {
    if given == lines {
        return Ok(());
    }
    Err(section.error_at(
        key,
        format!("`{key}` in [pattern] has {given} item(s) for {lines} line(s)"),
        format!("give one for every line of `lines`, in their order, or leave `{key}` out"),
    ))
}
