//! How it was flown: legs, turns, time out of the area, phases, handling.

use super::super::format::{
    clock, count, course, crosswind, duration, figure, ft, ft_range, kt, nm, nm_figure, or_none,
    outside_by_kind, percent,
};
use super::super::table::{Align::Left, Align::Right, table};
use super::{Text, signed_m, with};
use crate::debrief::Debrief;
use crate::measure::{LegReport, OutsideKind};
use crate::tasking::Side;

pub(super) fn legs(text: &mut Text, debrief: &Debrief) {
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
            ("kt", Right),
            ("ft", Right),
        ],
        &rows,
    ));
    text.note(
        "bias, SD, 95 %, max in m, + right; at, estab. in NM from the planned start / the entry;",
    );
    text.note("kt over the ground, ft as recorded; entered in UTC");
    for leg in &debrief.legs {
        for (spans, what) in [
            (&leg.missed, "not flown"),
            (&leg.unrecorded, "not recorded"),
        ] {
            for span in spans {
                text.note(&format!(
                    "leg {}: {what} {}–{} NM, {} to {}",
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
                    or_none(pass.established_after, |d| nm_figure(d, 2)),
                    figure(pass.handling.ground_speed_mean.kt(), 0),
                    or_none(pass.handling.height_mean, |h| figure(h.ft(), 0)),
                ],
            )
        })
        .collect()
}

pub(super) fn additional(text: &mut Text, debrief: &Debrief) {
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
                nm_figure(leg.length, 2),
                or_none(leg.nearest_leg.clone(), |l| l),
                or_none(leg.spacing_achieved, |s| nm_figure(s, 2)),
                leg.start.to_string(),
                leg.end.to_string(),
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
            ("from", Left),
            ("to", Left),
        ],
        &rows,
    ));
    text.note("length and spacing in NM");
}

pub(super) fn turns(text: &mut Text, debrief: &Debrief) {
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

pub(super) fn outside(text: &mut Text, debrief: &Debrief) {
    let a = &debrief.area_time;
    text.heading("Time out of the area");
    let totals = outside_by_kind(a);
    if totals.is_empty() {
        text.note("none within the search window");
    } else {
        text.note(&totals.join(", "));
    }
    for span in a
        .outside
        .iter()
        .filter(|span| span.kind == OutsideKind::Excursion)
    {
        text.note(&format!(
            "excursion {} to {} UTC ({}), up to {} outside{}, left at {}",
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

pub(super) fn phases(text: &mut Text, debrief: &Debrief) {
    text.heading("Phases");
    let rows: Vec<Vec<String>> = debrief
        .phase_totals
        .iter()
        .map(|total| {
            vec![
                total.phase.name().to_owned(),
                count(total.times),
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

pub(super) fn handling(text: &mut Text, debrief: &Debrief) {
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
        ("heights are", debrief.log.height_kind.describe().to_owned()),
        (
            "outside its tolerance",
            match (h.height_outside_s, debrief.plan.altitudes()) {
                (Some(s), Some(altitudes)) => {
                    format!(
                        "{} outside {} ± {}",
                        duration(s),
                        ft_range(altitudes),
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
