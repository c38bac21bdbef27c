//! How the legs were tracked: over all, pass by pass, and what was flown besides.

use super::table::Set::{Figures, Words};
use super::table::{cell, facts, leg_cell, table};
use crate::debrief::Debrief;
use crate::measure::{AlongSpan, Handling, LegReport, Pass};
use crate::report::format::{
    NONE, aside, clock, course, duration, figure, ft, ft_figure, kt, metres, nm, nm_figure,
    or_none, percent, utc,
};
use crate::tasking::Side;
use crate::units::Length;
use maud::{Markup, display, html};

pub(super) fn overall(debrief: &Debrief) -> Markup {
    let limit = metres(debrief.tolerances.cross_track);
    html! {
        p {
            "XTE is the distance from the planned leg, right or left in the direction flown, from where \
             the aircraft was established on it. The tolerance is " (limit) " either side."
        }
        @if let Some(all) = &debrief.tracking {
            (facts(&[
                ("Over all legs, mean (bias)", cell(aside(all.mean))),
                ("Standard deviation", cell(metres(all.sd))),
                ("95 % of the way within", cell(metres(all.p95))),
                ("Largest", cell(format!("{} at {}, {}", aside(all.max), utc(all.max_time), all.max_position))),
                ("Within tolerance", cell(percent(all.within_tolerance))),
            ]))
        } @else {
            p { "No planned leg was flown, so there is no XTE." }
        }
    }
}

pub(super) fn passes(debrief: &Debrief) -> Markup {
    let rows: Vec<Vec<Markup>> = debrief
        .legs
        .iter()
        .flat_map(|leg| leg_rows(debrief, leg))
        .collect();
    html! {
        (table(
            "Legs, a row for each pass",
            &[
                ("Leg", Words),
                ("State", Words),
                ("Flown", Figures),
                ("Direction", Figures),
                ("Entered, UTC", Figures),
                ("Mean XTE", Figures),
                ("SD", Figures),
                ("95 % within", Figures),
                ("Largest XTE, where", Figures),
                ("Within tolerance", Figures),
                ("Established after", Figures),
            ],
            &rows,
        ))
    }
}

fn leg_rows(debrief: &Debrief, leg: &LegReport) -> Vec<Vec<Markup>> {
    let head = |first: bool| {
        let name = if first {
            leg_cell(&leg.leg, &leg.leg)
        } else {
            leg_cell(&leg.leg, format!("{} again", leg.leg))
        };
        let state = if first { state(leg) } else { Markup::default() };
        let share = if first {
            cell(percent(leg.flown_share))
        } else {
            Markup::default()
        };
        vec![name, state, share]
    };
    let passes: Vec<&Pass> = leg
        .passes
        .iter()
        .filter_map(|index| debrief.passes.get(*index))
        .collect();
    if passes.is_empty() {
        let mut row = head(true);
        row.extend((0..8).map(|_| cell(NONE)));
        return vec![row];
    }
    passes
        .iter()
        .enumerate()
        .map(|(index, pass)| {
            let mut row = head(index == 0);
            row.extend(pass_cells(pass));
            row
        })
        .collect()
}

fn state(leg: &LegReport) -> Markup {
    // A leg not flown at all needs no list of what was not flown of it.
    let missed = if leg.flown_share > 0.0 || leg.unrecorded_share > 0.0 {
        &leg.missed[..]
    } else {
        &[]
    };
    html! {
        (leg.state.name())
        @for span in missed { br; span.place { "not flown " (stretch(span)) } (ends(span)) }
        @for span in &leg.unrecorded { br; span.place { "not recorded " (stretch(span)) } (ends(span)) }
    }
}

fn ends(span: &AlongSpan) -> Markup {
    html! {
        br; span.place { (display(span.from_position)) } " to " span.place { (display(span.to_position)) }
    }
}

fn stretch(span: &AlongSpan) -> String {
    format!("{} to {}", nm_figure(span.from, 2), nm(span.to, 2))
}

fn pass_cells(pass: &Pass) -> Vec<Markup> {
    let tracking = &pass.tracking;
    vec![
        cell(if pass.reversed {
            "against the plan"
        } else {
            "as planned"
        }),
        cell(clock(pass.entered)),
        cell(aside(tracking.mean)),
        cell(metres(tracking.sd)),
        cell(metres(tracking.p95)),
        cell(format!(
            "{} at {}",
            aside(tracking.max),
            nm(tracking.max_along, 1)
        )),
        cell(percent(tracking.within_tolerance)),
        cell(established(pass.established_after)),
    ]
}

fn established(after: Option<Length>) -> String {
    after.map_or_else(|| "never".to_owned(), |after| nm(after, 2))
}

pub(super) fn speed(handling: &Handling) -> String {
    format!(
        "{} ± {}",
        figure(handling.ground_speed_mean.kt(), 0),
        kt(handling.ground_speed_sd, 1)
    )
}

pub(super) fn height(handling: &Handling) -> String {
    let range = handling.height_min.zip(handling.height_max);
    match (handling.height_mean, range) {
        (Some(mean), Some((low, high))) => {
            format!("{} ({} to {})", ft(mean), ft_figure(low), ft(high))
        }
        _ => "not recorded".into(),
    }
}

pub(super) fn additional(debrief: &Debrief) -> Markup {
    if debrief.additional_legs.is_empty() {
        return Markup::default();
    }
    let rows: Vec<Vec<Markup>> = debrief
        .additional_legs
        .iter()
        .map(|leg| {
            vec![
                leg_cell(&leg.label, &leg.label),
                cell(clock(leg.entered)),
                cell(duration((leg.left - leg.entered).as_seconds_f64())),
                cell(nm(leg.length, 2)),
                cell(course(leg.course)),
                cell(leg.start),
                cell(leg.end),
                cell(or_none(leg.nearest_leg.as_ref(), |near| {
                    format!("leg {near}")
                })),
                cell(or_none(leg.spacing_achieved, |spacing| nm(spacing, 2))),
                cell(speed(&leg.handling)),
                cell(height(&leg.handling)),
            ]
        })
        .collect();
    html! {
        section #additional {
            h2 { "Additional legs" }
            p {
                "Straight runs inside the area on no planned leg. They count as searched. " (NONE)
                " stands where no planned leg runs beside them within two track spacings."
            }
            (table(
                "Additional legs in the order flown",
                &[
                    ("Leg", Words),
                    ("Entered, UTC", Figures),
                    ("Lasted", Figures),
                    ("Length", Figures),
                    ("Course", Figures),
                    ("From", Figures),
                    ("To", Figures),
                    ("Beside", Words),
                    ("Spacing achieved", Figures),
                    ("Ground speed, mean ± SD", Figures),
                    ("Height, mean (lowest to highest)", Figures),
                ],
                &rows,
            ))
        }
    }
}

pub(super) fn turns(debrief: &Debrief) -> Markup {
    let rows: Vec<Vec<Markup>> = debrief
        .turns
        .iter()
        .map(|turn| {
            let side = match turn.side {
                Side::Left => "left",
                Side::Right => "right",
            };
            vec![
                html! { (turn.after) " to " (turn.before) },
                cell(clock(turn.from)),
                cell(duration(turn.duration_s)),
                cell(side),
                cell(or_none(turn.past_end, |past| nm(past, 2))),
                cell(or_none(turn.past_next_leg, |past| nm(past, 2))),
                cell(or_none(turn.established_after, |after| nm(after, 2))),
            ]
        })
        .collect();
    html! {
        section #turns {
            h2 { "Turns" }
            @if rows.is_empty() {
                p { "The log shows no turn from one leg to another." }
            } @else {
                p {
                    "How far the aircraft went past the planned end of the leg left (negative: it turned \
                     before it) and past the line of the leg joined, and how far along that leg it was \
                     established. " (NONE) ": never established, or the leg is an additional one, which \
                     has no planned line."
                }
                (table(
                    "Turns from leg to leg",
                    &[
                        ("From leg to leg", Figures),
                        ("Began, UTC", Figures),
                        ("Lasted", Figures),
                        ("Side", Words),
                        ("Past the end", Figures),
                        ("Past the next leg", Figures),
                        ("Established after", Figures),
                    ],
                    &rows,
                ))
            }
        }
    }
}
