//! The first question: what was searched, and what is to be flown again?

use super::super::format::{
    aside, course, duration, figure, kt, metres, nm, nm_figure, or_none, percent, pod_with_band,
    utc,
};
use super::super::headline::{headline, laws, pod_by, proviso};
use super::super::refly_words;
use super::super::table::{Align::Left, Align::Right, table};
use super::{Text, with};
use crate::characters::visible;
use crate::coverage::Strip;
use crate::debrief::Debrief;
use anstyle::{AnsiColor, Style as Ansi};

pub(super) fn summary(text: &mut Text, debrief: &Debrief) {
    let c = &debrief.coverage;
    let pilot = debrief.pilot.as_deref().map(visible);
    let title = format!(
        "Debrief of {}, {}{}",
        visible(&debrief.sortie),
        debrief.date,
        pilot.map_or_else(String::new, |pilot| format!(", flown by {pilot}"))
    );
    text.wrapped("", &title, Ansi::new().bold());
    let colour = if debrief.strips_to_refly() == 0 {
        AnsiColor::Green
    } else {
        AnsiColor::Yellow
    };
    text.wrapped("", &headline(debrief), colour.on_default().bold());
    if let Some(proviso) = proviso(debrief) {
        text.wrapped("", &proviso, AnsiColor::Yellow.on_default());
    }
    let mut laws = laws(c).into_iter();
    let first = laws.next().unwrap_or(c.law);
    let others: Vec<String> = laws
        .map(|law| format!("{} {}", law.name(), percent(pod_by(&c.pod, law))))
        .collect();
    let a = &debrief.area_time;
    text.line("");
    text.facts(&[
        (
            "POD over the area",
            format!(
                "{} by {}; {}",
                pod_with_band(&c.pod_band),
                first.name(),
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

pub(super) fn strips(text: &mut Text, debrief: &Debrief) {
    text.heading("Strips");
    let rows: Vec<Vec<String>> = debrief.strips.iter().flat_map(strip_rows).collect();
    text.out.push_str(&table(
        &[
            ("strip", Right),
            ("at target", Right),
            ("POD", Right),
            ("hole", Left),
            ("along leg", Left),
        ],
        &rows,
    ));
}

/// One row per hole, the figures of the strip on the first.
fn strip_rows(strip: &Strip) -> Vec<Vec<String>> {
    let first = [
        strip.leg.clone(),
        percent(strip.share_at_target),
        percent(strip.mean_pod),
    ];
    if strip.holes.is_empty() {
        return vec![with(first, ["none".into(), String::new()])];
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
            let (from, to) = (nm_figure(hole.span.from, 2), nm_figure(hole.span.to, 2));
            with(lead, [hole.cause.name().into(), format!("{from}–{to} NM")])
        })
        .collect()
}

/// The holes as legs to fly, in order.
pub(super) fn refly(text: &mut Text, debrief: &Debrief) {
    let refly = &debrief.refly;
    if refly.legs.is_empty() {
        return;
    }
    let files = refly_words::named(debrief.refly_tasked.as_ref());
    text.heading(&format!("Re-fly ({files})"));
    let rows: Vec<Vec<String>> = refly
        .legs
        .iter()
        .map(|leg| {
            vec![
                leg.label.clone(),
                leg.mends.join(", "),
                leg.cause.name().to_owned(),
                course(leg.course),
                nm(leg.length, 2),
                leg.start.to_string(),
                leg.end.to_string(),
            ]
        })
        .collect();
    text.out.push_str(&table(
        &[
            ("leg", Right),
            ("strips", Left),
            ("hole", Left),
            ("course", Right),
            ("length", Right),
            ("from", Left),
            ("to", Left),
        ],
        &rows,
    ));
    text.note(&refly_words::cost(refly));
    text.note(&refly_words::gain(refly));
}
