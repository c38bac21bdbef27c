//! `report.txt`: the debrief for a terminal, at most 100 columns wide.

use super::format::{
    aside, clock, count, counted, course, crosswind, declination, duration, figure, ft, kt, metres,
    nm, nm_figure, or_none, percent, utc,
};
use super::headline::headline;
use super::table::{Align::Left, Align::Right, table};
use crate::debrief::Debrief;
use crate::measure::{LegReport, OutsideKind};
use crate::tasking::{Law, Side};
use crate::units::Length;
use anstyle::{AnsiColor, Style as Ansi};
use std::fmt::Write;

const WIDTH: usize = 98;

/// Whether to mark headings and states for a terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// No escape codes.
    Plain,
    /// Escape codes for bold and colour.
    Coloured,
}

/// The report.
#[must_use]
pub fn report(debrief: &Debrief, style: Style) -> String {
    let mut text = Text {
        out: String::new(),
        style,
    };
    summary(&mut text, debrief);
    strips(&mut text, debrief);
    legs(&mut text, debrief);
    additional(&mut text, debrief);
    turns(&mut text, debrief);
    outside(&mut text, debrief);
    phases(&mut text, debrief);
    handling(&mut text, debrief);
    log(&mut text, debrief);
    plan(&mut text, debrief);
    text.heading("To bear in mind");
    for line in debrief.remarks.iter().chain(&debrief.cautions) {
        text.paragraph(line);
    }
    text.out
}

struct Text {
    out: String,
    style: Style,
}

impl Text {
    fn line(&mut self, line: &str) {
        self.out.push_str(line);
        self.out.push('\n');
    }

    fn styled(&self, ansi: Ansi, words: &str) -> String {
        match self.style {
            Style::Plain => words.to_owned(),
            Style::Coloured => format!("{ansi}{words}{ansi:#}"),
        }
    }

    fn heading(&mut self, words: &str) {
        let words = self.styled(Ansi::new().bold(), words);
        self.line(&format!("\n{words}"));
    }

    /// A text wrapped to the width, with a dash before it.
    fn paragraph(&mut self, words: &str) {
        let mut line = String::from("  -");
        for word in words.split_whitespace() {
            if line.chars().count() + 1 + word.chars().count() > WIDTH {
                self.line(&line);
                line = String::from("   ");
            }
            line.push(' ');
            line.push_str(word);
        }
        self.line(&line);
    }

    fn facts(&mut self, facts: &[(&str, String)]) {
        let width = facts
            .iter()
            .map(|(name, _)| name.chars().count())
            .max()
            .unwrap_or(0);
        for (name, fact) in facts {
            self.line(&format!("  {name:<width$}  {fact}"));
        }
    }
}

fn summary(text: &mut Text, debrief: &Debrief) {
    let c = &debrief.coverage;
    let title = format!("Debrief of {}, {}", shown(&debrief.sortie), debrief.date);
    let title = text.styled(Ansi::new().bold(), &title);
    text.line(&title);
    let colour = if debrief.strips_to_refly() == 0 {
        AnsiColor::Green
    } else {
        AnsiColor::Yellow
    };
    let headline = text.styled(colour.on_default().bold(), &headline(debrief));
    text.line(&headline);
    let by_law = |law: Law| match law {
        Law::InverseCube => c.pod.inverse_cube,
        Law::Exponential => c.pod.exponential,
        Law::DefiniteRange => c.pod.definite_range,
    };
    let others: Vec<String> = [Law::InverseCube, Law::Exponential, Law::DefiniteRange]
        .into_iter()
        .filter(|law| *law != c.law)
        .map(|law| format!("{} {}", law.name(), percent(by_law(law))))
        .collect();
    let a = &debrief.area_time;
    text.line("");
    text.facts(&[
        (
            "POD over the area",
            format!(
                "{} ({}); beside it: {}",
                percent(by_law(c.law)),
                c.law.name(),
                others.join(", ")
            ),
        ),
        (
            "coverage factor",
            format!(
                "{} flown, {} planned (W {} on {} spacing)",
                figure(c.flown_coverage_factor, 2),
                figure(c.planned_coverage_factor, 2),
                nm(c.sweep_width, 2),
                nm(debrief.plan.spacing, 2)
            ),
        ),
        (
            "on task",
            format!(
                "{}, from {} to {}",
                duration(a.window_s),
                utc(a.from),
                utc(a.to)
            ),
        ),
        (
            "out of the area",
            format!(
                "{}, of that straying {}",
                duration(a.outside_s),
                duration(a.excursion_s)
            ),
        ),
        (
            "tracking",
            or_none(debrief.tracking.as_ref(), |t| {
                format!(
                    "bias {}, SD {}, 95 % within {}; {} within {}",
                    aside(t.mean),
                    metres(t.sd),
                    metres(t.p95),
                    percent(t.within_tolerance),
                    metres(debrief.tolerances.cross_track)
                )
            }),
        ),
        (
            "wind",
            or_none(debrief.wind.as_ref(), |w| {
                format!(
                    "from {} at {}, true airspeed {}",
                    course(w.from),
                    kt(w.speed, 0),
                    kt(w.true_airspeed, 0)
                )
            }),
        ),
    ]);
}

fn strips(text: &mut Text, debrief: &Debrief) {
    text.heading("Strips");
    let rows: Vec<Vec<String>> = debrief
        .strips
        .iter()
        .flat_map(|strip| {
            let first = [
                strip.leg.clone(),
                percent(strip.share_at_target),
                percent(strip.mean_pod),
            ];
            if strip.holes.is_empty() {
                return vec![with(
                    first,
                    ["at target".into(), String::new(), String::new()],
                )];
            }
            strip
                .holes
                .iter()
                .enumerate()
                .map(|(i, hole)| {
                    let lead = if i == 0 {
                        first.clone()
                    } else {
                        Default::default()
                    };
                    with(
                        lead,
                        [
                            hole.cause.name().into(),
                            format!(
                                "{}–{} NM",
                                nm_figure(hole.span.from, 2),
                                nm_figure(hole.span.to, 2)
                            ),
                            format!("{} to {}", hole.span.from_position, hole.span.to_position),
                        ],
                    )
                })
                .collect()
        })
        .collect();
    text.out.push_str(&table(
        &[
            ("strip", Right),
            ("at target", Right),
            ("POD", Right),
            ("hole", Left),
            ("along leg", Left),
            ("from … to", Left),
        ],
        &rows,
    ));
    let refly = &debrief.refly;
    if !refly.legs.is_empty() {
        text.line(&format!(
            "  re-fly: {}, {} on the legs, {} with the way between them (refly.gpx)",
            counted(refly.legs.len(), "leg"),
            nm(refly.search_length, 1),
            nm(refly.total_length, 1)
        ));
    }
}

fn with<const N: usize, const M: usize>(a: [String; N], b: [String; M]) -> Vec<String> {
    a.into_iter().chain(b).collect()
}

fn legs(text: &mut Text, debrief: &Debrief) {
    text.heading("Legs (XTE: cross-track error, right of the leg in the direction flown)");
    let rows: Vec<Vec<String>> = debrief
        .legs
        .iter()
        .flat_map(|leg| leg_rows(debrief, leg))
        .collect();
    text.out.push_str(&table(
        &[
            ("leg", Right),
            ("state", Left),
            ("flown", Right),
            ("pass", Left),
            ("entered", Left),
            ("bias", Right),
            ("SD", Right),
            ("95 %", Right),
            ("max", Right),
            ("at", Right),
            ("estab.", Right),
            ("speed", Right),
            ("height", Right),
        ],
        &rows,
    ));
    text.line(
        "  bias, SD, 95 %, max in m, + right; at, estab. in NM from the planned start / the entry;",
    );
    text.line("  speed in kt over the ground, height in ft as recorded; entered in UTC");
    for leg in &debrief.legs {
        for (spans, what) in [
            (&leg.missed, "not flown"),
            (&leg.unrecorded, "not recorded"),
        ] {
            for span in spans {
                text.line(&format!(
                    "  leg {}: {what} {}–{} NM, {} to {}",
                    leg.leg,
                    nm_figure(span.from, 2),
                    nm_figure(span.to, 2),
                    span.from_position,
                    span.to_position
                ));
            }
        }
    }
}

fn leg_rows(debrief: &Debrief, leg: &LegReport) -> Vec<Vec<String>> {
    let first = [
        leg.leg.clone(),
        leg.state.name().to_owned(),
        percent(leg.flown_share),
    ];
    if leg.passes.is_empty() {
        return vec![with(
            first,
            std::array::from_fn::<String, 10, _>(|_| String::new()),
        )];
    }
    leg.passes
        .iter()
        .enumerate()
        .map(|(i, pass)| {
            let pass = &debrief.passes[*pass];
            let t = &pass.tracking;
            let lead = if i == 0 {
                first.clone()
            } else {
                Default::default()
            };
            with(
                lead,
                [
                    if pass.reversed { "reversed" } else { "planned" }.to_owned(),
                    clock(pass.entered),
                    signed_m(t.mean),
                    figure(t.sd.m(), 0),
                    figure(t.p95.m(), 0),
                    signed_m(t.max),
                    nm_figure(t.max_along, 1),
                    or_none(pass.established_after, |d| nm_figure(d, 1)),
                    figure(pass.handling.ground_speed_mean.kt(), 0),
                    or_none(pass.handling.height_mean, |h| figure(h.ft(), 0)),
                ],
            )
        })
        .collect()
}

fn additional(text: &mut Text, debrief: &Debrief) {
    if debrief.additional_legs.is_empty() {
        return;
    }
    text.heading("Additional legs (flown in the area on no planned leg; they count as searched)");
    let rows: Vec<Vec<String>> = debrief
        .additional_legs
        .iter()
        .map(|leg| {
            vec![
                leg.label.clone(),
                clock(leg.entered),
                course(leg.course),
                nm(leg.length, 2),
                or_none(leg.nearest_leg.clone(), |l| l),
                or_none(leg.spacing_achieved, |s| nm(s, 2)),
                format!("{} to {}", leg.start, leg.end),
            ]
        })
        .collect();
    text.out.push_str(&table(
        &[
            ("leg", Right),
            ("entered", Left),
            ("course", Right),
            ("length", Right),
            ("beside", Right),
            ("spacing", Right),
            ("from … to", Left),
        ],
        &rows,
    ));
}

fn turns(text: &mut Text, debrief: &Debrief) {
    if debrief.turns.is_empty() {
        return;
    }
    text.heading("Turns");
    let rows: Vec<Vec<String>> = debrief
        .turns
        .iter()
        .map(|turn| {
            vec![
                format!("{} to {}", turn.after, turn.before),
                clock(turn.from),
                duration(turn.duration_s),
                match turn.side {
                    Side::Left => "left",
                    Side::Right => "right",
                }
                .to_owned(),
                or_none(turn.past_end, |d| nm(d, 2)),
                or_none(turn.past_next_leg, |d| nm(d, 2)),
                or_none(turn.established_after, |d| nm(d, 2)),
            ]
        })
        .collect();
    text.out.push_str(&table(
        &[
            ("legs", Left),
            ("from", Left),
            ("lasted", Right),
            ("side", Left),
            ("past the end", Right),
            ("past the next leg", Right),
            ("established after", Right),
        ],
        &rows,
    ));
}

fn outside(text: &mut Text, debrief: &Debrief) {
    let a = &debrief.area_time;
    text.heading("Time out of the area");
    let kinds = [
        OutsideKind::Turn,
        OutsideKind::OnLeg,
        OutsideKind::Orbit,
        OutsideKind::Excursion,
    ];
    let totals: Vec<String> = kinds
        .into_iter()
        .filter_map(|kind| {
            let spans = || a.outside.iter().filter(|span| span.kind == kind);
            let seconds: f64 = spans().map(|span| span.duration_s).sum();
            (spans().count() > 0).then(|| {
                format!(
                    "{} ({}, {})",
                    kind.name(),
                    counted(spans().count(), "time"),
                    duration(seconds)
                )
            })
        })
        .collect();
    text.line(&format!(
        "  {}",
        if totals.is_empty() {
            "none within the search window".into()
        } else {
            totals.join(", ")
        }
    ));
    for span in a
        .outside
        .iter()
        .filter(|span| span.kind == OutsideKind::Excursion)
    {
        text.line(&format!(
            "  excursion {} to {} UTC ({}), up to {} outside{}, left at {}",
            clock(span.from),
            clock(span.to),
            duration(span.duration_s),
            nm(span.farthest, 2),
            span.after
                .as_ref()
                .map_or_else(String::new, |leg| format!(", after leg {leg}")),
            span.left_at
        ));
    }
}

fn phases(text: &mut Text, debrief: &Debrief) {
    text.heading("Phases");
    let rows: Vec<Vec<String>> = debrief
        .phase_totals
        .iter()
        .map(|total| {
            let times = debrief
                .phases
                .iter()
                .filter(|s| s.phase == total.phase)
                .count();
            vec![
                total.phase.name().to_owned(),
                count(times),
                duration(total.duration_s),
                or_none(total.distance, |d| nm(d, 1)),
            ]
        })
        .collect();
    text.out.push_str(&table(
        &[
            ("phase", Left),
            ("times", Right),
            ("lasted", Right),
            ("flown", Right),
        ],
        &rows,
    ));
    if !debrief.coverage.not_counted.is_empty() {
        let parts: Vec<String> = debrief
            .coverage
            .not_counted
            .iter()
            .map(|part| format!("{} {}", part.reason, duration(part.duration_s)))
            .collect();
        text.paragraph(&format!("Not counted as looking: {}.", parts.join(", ")));
    }
}

fn handling(text: &mut Text, debrief: &Debrief) {
    let Some(h) = &debrief.handling else { return };
    text.heading("Speed and height on the legs");
    let tolerances = &debrief.tolerances;
    text.facts(&[
        (
            "ground speed",
            format!(
                "mean {}, SD {}; {} outside {} ± {}",
                kt(h.ground_speed_mean, 0),
                kt(h.ground_speed_sd, 1),
                duration(h.ground_speed_outside_s),
                kt(debrief.plan.ground_speed, 0),
                kt(tolerances.ground_speed, 0)
            ),
        ),
        (
            "height as recorded",
            h.height_mean
                .zip(h.height_sd)
                .zip(h.height_min)
                .zip(h.height_max)
                .map_or_else(
                    || "not recorded".to_owned(),
                    |(((mean, sd), min), max)| {
                        format!(
                            "mean {}, SD {}, from {} to {}",
                            ft(mean),
                            ft(sd),
                            ft(min),
                            ft(max)
                        )
                    },
                ),
        ),
        (
            "outside its tolerance",
            match (h.height_outside_s, debrief.plan.altitude) {
                (Some(s), Some(altitude)) => {
                    format!(
                        "{} outside {} ± {}",
                        duration(s),
                        ft(altitude),
                        ft(tolerances.altitude)
                    )
                }
                _ => "the tasking names no altitude, or the log has no heights".to_owned(),
            },
        ),
    ]);
    let drift: Vec<String> = debrief
        .passes
        .iter()
        .filter_map(|p| Some(format!("leg {} {}", p.leg, crosswind(p.crosswind?))))
        .collect();
    if !drift.is_empty() {
        text.paragraph(&format!("Wind across the legs: {}.", drift.join(", ")));
    }
}

fn log(text: &mut Text, debrief: &Debrief) {
    let log = &debrief.log;
    text.heading("Log");
    text.line(&format!(
        "  {} to {} UTC, {} of {} points kept",
        log.first.format("%Y-%m-%d %H:%M:%S"),
        clock(log.last),
        count(log.fixes_kept),
        count(log.points_read)
    ));
    text.line(&format!(
        "  one fix every {} s; steps over {} s count as not recorded",
        figure(log.median_interval_s, 1),
        figure(log.gap_limit_s, 0)
    ));
    for gap in &log.gaps {
        text.line(&format!(
            "  not recorded {} to {} UTC ({}), from {} to {}",
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
        text.line(&format!(
            "  {} × {}{place}",
            count(*number),
            finding.describe()
        ));
    }
    for input in &debrief.inputs {
        text.line(&format!(
            "  {}: {}, SHA-256 {}",
            input.role,
            shown(&input.name),
            &input.sha256
        ));
    }
}

fn plan(text: &mut Text, debrief: &Debrief) {
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
    let mut version = String::new();
    // Writing to a String cannot fail.
    let _ = write!(
        version,
        "  made by overflown {}, {}",
        debrief.version, debrief.schema
    );
    text.line(&version);
}

/// Text from a file, with control characters made visible.
fn shown(text: &str) -> String {
    text.chars()
        .flat_map(|c| {
            if c.is_control() {
                c.escape_debug().collect::<Vec<_>>()
            } else {
                vec![c]
            }
        })
        .collect()
}

fn signed_m(length: Length) -> String {
    let text = figure(length.m(), 0);
    if text == "0" || text.starts_with('-') {
        text
    } else {
        format!("+{text}")
    }
}
