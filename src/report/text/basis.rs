//! What the figures rest on: the log and the plan.

use super::super::format::{
    clock, count, counted, declination, duration, figure, flown, nm, percent, pod_with_band,
};
use super::super::headline::{BETWEEN, laws, pod_by};
use super::super::log_words::{file_and_line, left_out, logs, taken};
use super::super::table::{Align::Left, Align::Right, table};
use super::super::{pod_band, sweep_width};
use super::Text;
use crate::characters::visible;
use crate::debrief::Debrief;

pub(super) fn log(text: &mut Text, debrief: &Debrief) {
    let log = &debrief.log;
    text.heading("Log");
    text.note(&format!(
        "{} to {} UTC, {} of {} points kept{}",
        log.first.format("%Y-%m-%d %H:%M:%S"),
        clock(log.last),
        count(log.fixes_kept),
        count(log.points_read),
        left_out(log.points_left_out)
    ));
    for track in log.tracks.iter().filter(|_| log.tracks.len() > 1) {
        text.note(&format!(
            "track {}, {}, {}",
            visible(&track.title()),
            counted(track.points(), "point"),
            if track.taken { "taken" } else { "left out" }
        ));
    }
    for said in taken(&log.taken) {
        text.note(&said);
    }
    text.note(&format!(
        "one fix every {} s; steps over {} s count as not recorded",
        figure(log.median_interval_s, 1),
        figure(log.gap_limit_s, 0)
    ));
    text.note(&format!(
        "in flight: {}",
        flown(log.flying_from, log.flying_to)
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
            let place = file_and_line(&logs(&debrief.inputs), entry.file, entry.line);
            format!(", first on line {}", visible(&place))
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
            visible(&input.name),
            &input.sha256
        ));
    }
}

pub(super) fn plan(text: &mut Text, debrief: &Debrief) {
    let plan = &debrief.plan;
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

/// The sweep width step by step, and the laws beside each other.
pub(super) fn detection(text: &mut Text, debrief: &Debrief) {
    let c = &debrief.coverage;
    text.heading("Detection");
    for line in sweep_width::steps(&c.sweep_width_basis) {
        text.note(&line);
    }
    text.note(&sweep_width::height(c.search_height));
    text.line("");
    let rows: Vec<Vec<String>> = laws(c)
        .into_iter()
        .map(|law| {
            let decides = if law == c.law { " (decides)" } else { "" };
            vec![
                format!("{}{decides}", law.name()),
                percent(pod_by(&c.planned_pod, law)),
                percent(pod_by(&c.pod, law)),
            ]
        })
        .collect();
    let columns = [
        ("law", Left),
        ("POD as planned", Right),
        ("as flown", Right),
    ];
    text.out.push_str(&table(&columns, &rows));
    text.note(&format!(
        "POD over the area with its band: {}. It comes from",
        pod_with_band(&c.pod_band)
    ));
    for part in pod_band::parts(c) {
        text.note(&format!("- {part}"));
    }
    text.note(pod_band::TOGETHER);
    for law in laws(c) {
        text.note(&format!("{}: {}", law.name(), law.assumes()));
    }
    text.note(BETWEEN);
}
