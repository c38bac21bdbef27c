//! What the figures rest on.

use super::table::Set::{Figures, Words};
use super::table::{cell, facts, table};
use crate::debrief::Debrief;
use crate::detection::Scanners;
use crate::input::InputFile;
use crate::report::format::{
    NONE, bytes, clock, count, counted, declination, duration, figure, flown, ft, ft_range, kt,
    metres, nm, percent, pod_with_band, square_nm,
};
use crate::report::headline::{BETWEEN, laws, pod_by};
use crate::report::log_words::{file_and_line, left_out, logs, taken};
use crate::report::{pod_band, sweep_width};
use chrono::{DateTime, Utc};
use maud::{Markup, display, html};

/// The files that figures rest on.
pub fn inputs(caption: &str, inputs: &[InputFile]) -> Markup {
    let rows: Vec<Vec<Markup>> = inputs
        .iter()
        .map(|input| {
            vec![
                cell(&input.role),
                cell(&input.name),
                cell(bytes(input.bytes)),
                html! { code.hash { (input.sha256) } },
            ]
        })
        .collect();
    table(
        caption,
        &[
            ("Used as", Words),
            ("Name", Words),
            ("Size", Figures),
            ("SHA-256", Words),
        ],
        &rows,
    )
}

pub(super) fn log(debrief: &Debrief) -> Markup {
    let log = &debrief.log;
    html! {
        section #log {
            h2 { "Log" }
            (facts(&[
                ("Track", cell(log.track_name.as_deref().unwrap_or("the file gives no name"))),
                (
                    "Recorded",
                    cell(format!(
                        "{} to {} UTC",
                        log.first.format("%Y-%m-%d %H:%M:%S"),
                        log.last.format("%Y-%m-%d %H:%M:%S")
                    )),
                ),
                (
                    "In flight",
                    cell(flown(log.flying_from, log.flying_to)),
                ),
                (
                    "Fixes kept",
                    cell(format!(
                        "{} of {} points{}",
                        count(log.fixes_kept),
                        count(log.points_read),
                        left_out(log.points_left_out)
                    )),
                ),
                (
                    "Time between fixes",
                    cell(format!(
                        "{} s (median); more than {} s counts as not recorded",
                        figure(log.median_interval_s, 1),
                        figure(log.gap_limit_s, 0)
                    )),
                ),
            ]))
            @for said in taken(&log.taken) { p { "Times: " (said) "." } }
            (tracks(debrief))
            (gaps(debrief))
            (ledger(debrief))
            (inputs("Files this rests on", &debrief.inputs))
        }
    }
}

/// The tracks that the files hold, where there are several.
fn tracks(debrief: &Debrief) -> Markup {
    let tracks = &debrief.log.tracks;
    if tracks.len() < 2 {
        return html! {};
    }
    let files = logs(&debrief.inputs);
    let time = |time: Option<DateTime<Utc>>| {
        let shown = |time: DateTime<Utc>| time.format("%Y-%m-%d %H:%M:%S").to_string();
        cell(time.map_or_else(|| NONE.to_owned(), shown))
    };
    let rows: Vec<Vec<Markup>> = tracks
        .iter()
        .map(|track| {
            vec![
                cell(track.number),
                cell(track.name.as_deref().unwrap_or(NONE)),
                time(track.first),
                time(track.last),
                cell(count(track.points())),
                cell(if track.taken { "taken" } else { "left out" }),
                cell(file_and_line(&files, track.file, track.line)),
            ]
        })
        .collect();
    let columns = [
        ("Track", Figures),
        ("Name", Words),
        ("From, UTC", Figures),
        ("To, UTC", Figures),
        ("Points", Figures),
        ("", Words),
        ("Begins on line", Figures),
    ];
    table("Tracks in the log", &columns, &rows)
}

fn gaps(debrief: &Debrief) -> Markup {
    let rows: Vec<Vec<Markup>> = debrief
        .log
        .gaps
        .iter()
        .map(|gap| {
            vec![
                cell(clock(gap.from)),
                cell(clock(gap.to)),
                cell(duration(gap.duration_s)),
                cell(gap.from_position),
                cell(gap.to_position),
            ]
        })
        .collect();
    if rows.is_empty() {
        return html! { p { "The log has no gaps." } };
    }
    let columns = [
        ("From, UTC", Figures),
        ("To, UTC", Figures),
        ("Lasted", Figures),
        ("Broke off at", Figures),
        ("Went on at", Figures),
    ];
    table("Times not recorded", &columns, &rows)
}

fn ledger(debrief: &Debrief) -> Markup {
    let log = &debrief.log;
    if log.ledger.is_empty() {
        return html! { p { "Every point of the log could be used." } };
    }
    let files = logs(&debrief.inputs);
    let rows: Vec<Vec<Markup>> = log
        .ledger
        .iter()
        .map(|entry| {
            vec![
                cell(file_and_line(&files, entry.file, entry.line)),
                cell(entry.finding.describe()),
                html! { code { (entry.raw) } },
            ]
        })
        .collect();
    html! {
        p { "What was found on reading:" }
        ul { @for (finding, times) in &log.ledger_counts {
            li { (counted(*times, "point")) ": " (finding.describe()) }
        } }
        details {
            summary { "Line by line" }
            (table(
                "Points dropped or mended",
                &[("Line of the file", Figures), ("Finding", Words), ("As it stands there", Words)],
                &rows,
            ))
            @if log.ledger_left_out > 0 {
                p {
                    (count(log.ledger_left_out)) " more are printed by "
                    code { "overflown inspect --ledger" } "."
                }
            }
        }
    }
}

pub(super) fn plan(debrief: &Debrief) -> Markup {
    let plan = &debrief.plan;
    let coverage = &debrief.coverage;
    let scanners = match coverage.scanners {
        Scanners::Both => "both sides",
        Scanners::Left => "left side only",
        Scanners::Right => "right side only",
    };
    let blind = if coverage.blind_strip.m() > 0.0 {
        format!(
            ", without a blind strip of {}",
            metres(coverage.blind_strip)
        )
    } else {
        String::new()
    };
    let area = if plan.area_given {
        "given by the tasking"
    } else {
        "the strips together"
    };
    let altitude = plan.altitudes().map_or_else(
        || "not given".to_owned(),
        |altitudes| {
            format!(
                "{} ± {}",
                ft_range(altitudes),
                ft(debrief.tolerances.altitude)
            )
        },
    );
    html! {
        section #plan {
            h2 { "Plan" }
            (facts(&[
                ("Pattern", cell(format!("{}, {}", plan.pattern.name(), counted(debrief.legs.len(), "search leg")))),
                ("Search object", cell(plan.search_object.as_deref().unwrap_or("not given"))),
                ("Track spacing S", cell(nm(plan.spacing, 2))),
                ("Sweep width W", sweep_width_fact(debrief)),
                ("Looked from", cell(format!("{scanners}{blind}"))),
                (
                    "Coverage factor C",
                    cell(format!(
                        "{} planned (W/S), {} flown (W·L/A, L {} in the area)",
                        figure(coverage.planned_coverage_factor, 2),
                        figure(coverage.flown_coverage_factor, 2),
                        nm(coverage.searching_track, 1)
                    )),
                ),
                ("Area A", cell(format!("{}, {area}", square_nm(coverage.area_m2)))),
                (
                    "Ground speed",
                    cell(format!(
                        "{} ± {}",
                        figure(plan.ground_speed.kt(), 0),
                        kt(debrief.tolerances.ground_speed, 0)
                    )),
                ),
                ("Altitude", cell(altitude)),
                ("XTE tolerance", cell(metres(debrief.tolerances.cross_track))),
                ("Declination", declination_fact(debrief)),
            ]))
            (pods(debrief))
            @if !plan.notes.is_empty() {
                ul { @for note in &plan.notes { li { (note) } } }
            }
            (planned_legs(debrief))
        }
    }
}

fn sweep_width_fact(debrief: &Debrief) -> Markup {
    let coverage = &debrief.coverage;
    html! {
        (nm(coverage.sweep_width, 2)) " ("
        (sweep_width::range(&coverage.sweep_width_basis)) ")"
        ul { @for step in sweep_width::steps(&coverage.sweep_width_basis) { li { (step) } } }
        (sweep_width::height(coverage.search_height))
    }
}

fn declination_fact(debrief: &Debrief) -> Markup {
    let Some(found) = &debrief.plan.declination else {
        return cell("not known: the date lies outside the magnetic model; courses are true");
    };
    html! {
        (declination(found)) ", " (found.source) ", for " (display(found.date)) " at " span.place { (display(found.at)) }
        @if let Some(warning) = &found.warning { ". " b { (warning) } }
    }
}

fn pods(debrief: &Debrief) -> Markup {
    let coverage = &debrief.coverage;
    let rows: Vec<Vec<Markup>> = laws(coverage)
        .into_iter()
        .map(|law| {
            let decides = if law == coverage.law {
                " (decides)"
            } else {
                ""
            };
            vec![
                html! { (law.name()) (decides) },
                cell(percent(pod_by(&coverage.planned_pod, law))),
                cell(percent(pod_by(&coverage.pod, law))),
                cell(law.assumes()),
            ]
        })
        .collect();
    let columns = [
        ("Law", Words),
        ("As planned", Figures),
        ("As flown", Figures),
        ("What it assumes", Words),
    ];
    html! {
        (table("POD over the area by law", &columns, &rows))
        p { (BETWEEN) }
        p { "POD over the area with its band: " (pod_with_band(&coverage.pod_band)) ". It comes from" }
        ul { @for part in pod_band::parts(coverage) { li { (part) } } }
        p { (pod_band::TOGETHER) }
    }
}

fn planned_legs(debrief: &Debrief) -> Markup {
    let rows: Vec<Vec<Markup>> = debrief
        .plan
        .legs
        .iter()
        .map(|leg| {
            vec![
                cell(&leg.label),
                cell(leg.start),
                cell(leg.end),
                cell(crate::report::format::course(leg.course)),
                cell(nm(leg.length, 2)),
            ]
        })
        .collect();
    html! {
        details {
            summary { "Legs as planned" }
            (table(
                "Legs as planned, search legs and the cross-legs between them",
                &[("Leg", Words), ("From", Figures), ("To", Figures), ("Course", Figures), ("Length", Figures)],
                &rows,
            ))
        }
    }
}

pub(super) fn method(debrief: &Debrief) -> Markup {
    let coverage = &debrief.coverage;
    html! {
        section #method {
            h2 { "How it was worked out" }
            details open="open" {
                summary { "In short" }
                ul {
                    li { "Positions, distances and courses are on the WGS 84 ellipsoid; courses are true." }
                    li {
                        "Each stretch of the log was matched to the planned leg it follows, in either \
                         direction and any order; straight runs inside the area on no planned leg are \
                         additional legs."
                    }
                    li {
                        "Each straight stretch flown while looking adds to what is seen of the ground beside \
                         it, after the law chosen (" (coverage.law.name()) ") and a sweep width of "
                        (nm(coverage.sweep_width, 2)) ". POD is worked out cell by cell (cells of "
                        (metres(coverage.cell)) ") and averaged over the area."
                    }
                    li {
                        "Turns, orbits, transits, stretches without record and flight outside the heights and \
                         speeds tasked for looking are not counted as looking."
                    }
                    li {
                        "A hole is a stretch of a strip whose mean POD across stays below the target."
                    }
                    li { (NONE) " and the words \"not recorded\" stand where there is no figure; never 0." }
                }
            }
        }
    }
}

pub(super) fn cautions(debrief: &Debrief) -> Markup {
    html! {
        section #cautions {
            h2 { "Cautions" }
            ul { @for caution in &debrief.cautions { li { (caution) } } }
        }
    }
}
