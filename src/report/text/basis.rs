//! What the figures rest on: the log and the plan.

use super::super::format::{clock, count, counted, declination, duration, figure, nm, percent};
use super::{Text, shown};
use crate::debrief::Debrief;

pub(super) fn log(text: &mut Text, debrief: &Debrief) {
    let log = &debrief.log;
    text.heading("Log");
    text.note(&format!(
        "{} to {} UTC, {} of {} points kept",
        log.first.format("%Y-%m-%d %H:%M:%S"),
        clock(log.last),
        count(log.fixes_kept),
        count(log.points_read)
    ));
    text.note(&format!(
        "one fix every {} s; steps over {} s count as not recorded",
        figure(log.median_interval_s, 1),
        figure(log.gap_limit_s, 0)
    ));
    for gap in &log.gaps {
        text.note(&format!(
            "not recorded {} to {} UTC ({}), from {} to {}",
            clock(gap.from),
            clock(gap.to),
            duration(gap.duration_s),
            gap.from_position,
            gap.to_position
        ));
    }
    for (finding, number) in &log.ledger_counts {
        let first = log.ledger.iter().find(|entry| entry.finding == *finding);
        let place = first.map_or_else(String::new, |entry| {
            format!(", first on line {}", entry.line)
        });
        text.note(&format!(
            "{} × {}{place}",
            count(*number),
            finding.describe()
        ));
    }
    for input in &debrief.inputs {
        text.note(&format!(
            "{}: {}, SHA-256 {}",
            input.role,
            shown(&input.name),
            &input.sha256
        ));
    }
}

pub(super) fn plan(text: &mut Text, debrief: &Debrief) {
    let plan = &debrief.plan;
    let c = &debrief.coverage;
    text.heading("Plan");
    text.facts(&[
        (
            "pattern",
            format!(
                "{}, {}, spacing {}",
                plan.pattern.name(),
                counted(debrief.legs.len(), "search leg"),
                nm(plan.spacing, 2)
            ),
        ),
        (
            "flown perfectly",
            format!(
                "POD {} inverse cube, {} exponential, {} definite range",
                percent(c.planned_pod.inverse_cube),
                percent(c.planned_pod.exponential),
                percent(c.planned_pod.definite_range)
            ),
        ),
        (
            "declination",
            plan.declination.as_ref().map_or_else(
                || "outside the dates of the magnetic model".to_owned(),
                |d| format!("{}, {} for {}", declination(d), d.source, d.date),
            ),
        ),
    ]);
    text.note(&format!(
        "made by overflown {}, {}",
        debrief.version, debrief.schema
    ));
}
