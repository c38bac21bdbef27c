//! Where the time went.

use super::legs::{height, speed};
use super::table::Set::{Figures, Words};
use super::table::{cell, facts, table};
use crate::debrief::Debrief;
use crate::report::format::{
    NONE, clock, count, course, crosswind, duration, figure, ft, ft_range, kt, nm, or_none,
    outside_by_kind, utc,
};
use maud::{Markup, html};

pub(super) fn outside(debrief: &Debrief) -> Markup {
    let time = &debrief.area_time;
    let rows: Vec<Vec<Markup>> = time
        .outside
        .iter()
        .map(|span| {
            vec![
                cell(clock(span.from)),
                cell(clock(span.to)),
                cell(duration(span.duration_s)),
                cell(span.kind.name()),
                cell(or_none(span.after.as_ref(), |leg| format!("leg {leg}"))),
                cell(nm(span.farthest, 2)),
                cell(span.left_at),
                cell(span.entered_at),
            ]
        })
        .collect();
    html! {
        section #outside {
            h2 { "Out of the area" }
            p {
                "On task from " (utc(time.from)) " to " (utc(time.to)) ", " (duration(time.window_s)) ": "
                (duration(time.on_legs_s)) " on legs, " (duration(time.outside_s)) " out of the area, of \
                 that " (duration(time.excursion_s)) " straying; " (duration(time.not_recorded_s))
                " not recorded. Turns may be flown outside. Crossings are interpolated between fixes."
            }
            @if rows.is_empty() {
                p { "The log shows no time out of the area while on task." }
            } @else {
                p { (outside_by_kind(time).join(", ")) "." }
                (table(
                    "Times out of the area while on task",
                    &[
                        ("Left, UTC", Figures),
                        ("Back, UTC", Figures),
                        ("Lasted", Figures),
                        ("Why", Words),
                        ("After", Words),
                        ("Farthest", Figures),
                        ("Left at", Figures),
                        ("Entered at", Figures),
                    ],
                    &rows,
                ))
            }
        }
    }
}

pub(super) fn phases(debrief: &Debrief) -> Markup {
    let rows: Vec<Vec<Markup>> = debrief
        .phase_totals
        .iter()
        .map(|total| {
            vec![
                cell(total.phase.name()),
                cell(count(total.times)),
                cell(duration(total.duration_s)),
                cell(
                    total
                        .distance
                        .map_or_else(|| "not recorded".into(), |far| nm(far, 1)),
                ),
            ]
        })
        .collect();
    let not_counted: Vec<Vec<Markup>> = debrief
        .coverage
        .not_counted
        .iter()
        .map(|part| {
            vec![
                cell(&part.reason),
                cell(duration(part.duration_s)),
                cell(
                    part.distance
                        .map_or_else(|| "not recorded".into(), |far| nm(far, 1)),
                ),
            ]
        })
        .collect();
    html! {
        (table(
            "Totals by phase",
            &[("Phase", Words), ("Times", Figures), ("Lasted", Figures), ("Flown", Figures)],
            &rows,
        ))
        @if !not_counted.is_empty() {
            (table(
                "On task, but not counted as looking",
                &[("Why", Words), ("Lasted", Figures), ("Flown", Figures)],
                &not_counted,
            ))
        }
    }
}

pub(super) fn handling(debrief: &Debrief) -> Markup {
    html! {
        section #handling {
            h2 { "Speed, height, wind" }
            @if let Some(all) = &debrief.handling {
                (facts(&[
                    ("Ground speed on legs, mean ± SD", cell(speed(all))),
                    (
                        "Ground speed out of tolerance",
                        cell(format!(
                            "{} of {}; {} ± {} tasked",
                            duration(all.ground_speed_outside_s),
                            duration(all.duration_s),
                            figure(debrief.plan.ground_speed.kt(), 0),
                            kt(debrief.tolerances.ground_speed, 0)
                        )),
                    ),
                    ("Height on legs as recorded, mean (lowest to highest)", cell(height(all))),
                    ("Height, standard deviation", cell(or_none(all.height_sd, ft))),
                    ("Heights are", cell(debrief.log.height_kind.describe())),
                    ("Height out of tolerance", cell(height_outside(debrief, all.height_outside_s))),
                ]))
            } @else {
                p { "No leg was flown, so there is nothing to say about speed and height." }
            }
            (wind(debrief))
            (passes(debrief))
        }
    }
}

fn passes(debrief: &Debrief) -> Markup {
    if debrief.passes.is_empty() {
        return Markup::default();
    }
    let rows: Vec<Vec<Markup>> = debrief
        .passes
        .iter()
        .map(|pass| {
            let handling = &pass.handling;
            vec![
                html! { "leg " (pass.leg) },
                cell(clock(pass.entered)),
                cell(speed(handling)),
                cell(duration(handling.ground_speed_outside_s)),
                cell(height(handling)),
                cell(or_none(handling.height_outside_s, duration)),
                cell(or_none(pass.crosswind, crosswind)),
            ]
        })
        .collect();
    html! {
        (table(
            "Passes in the order flown",
            &[
                ("Pass", Words),
                ("Entered, UTC", Figures),
                ("Ground speed, mean ± SD", Figures),
                ("Speed out of tolerance", Figures),
                ("Height, mean (lowest to highest)", Figures),
                ("Height out of tolerance", Figures),
                ("Crosswind", Figures),
            ],
            &rows,
        ))
        @if debrief.wind.is_none() {
            p.note { "Crosswind: " (NONE) " because the courses flown allow no estimate of the wind." }
        }
    }
}

fn height_outside(debrief: &Debrief, seconds: Option<f64>) -> String {
    match (seconds, debrief.plan.altitudes()) {
        (Some(seconds), Some(altitudes)) => {
            let tasked = format!(
                "{} ± {} tasked",
                ft_range(altitudes),
                ft(debrief.tolerances.altitude)
            );
            format!("{}; {tasked}", duration(seconds))
        }
        (_, None) => "the tasking names no altitude".into(),
        (None, Some(_)) => "heights were not recorded".into(),
    }
}

fn wind(debrief: &Debrief) -> Markup {
    html! {
        @if let Some(wind) = &debrief.wind {
            (facts(&[
                (
                    "Wind, estimated from the courses flown",
                    cell(format!("from {} at {}", course(wind.from), kt(wind.speed, 0))),
                ),
                ("Mean true airspeed", cell(kt(wind.true_airspeed, 0))),
                ("Misfit of the estimate", cell(kt(wind.residual, 1))),
                (
                    "Widest gap between courses",
                    cell(format!(
                        "{}°: the smaller, the surer",
                        figure(wind.widest_course_gap_deg, 0)
                    )),
                ),
            ]))
        } @else {
            p { "Wind: not estimated, the courses flown do not allow it." }
        }
    }
}
