//! The arithmetic beside a plan, for the terminal.

mod relaid;

use super::format::{course, duration, figure, kt, nm, nm_figure, or_none, percent, square_nm};
use super::table::{Align::Left, Align::Right, table};
use super::wrap::{WIDTH, hanging, wrap};
use crate::cautions;
use crate::plan::Plan;
use crate::preflight::starts::{CornerStart, NoStart, Start};
use crate::preflight::{Effort, Expected, LegFigures, Preflight, StartPoints};
use crate::tasking::{Side, Tasking};
use crate::units::Bearing;

/// Columns of the words before a fact.
const LEAD: usize = 24;

/// All of it, in tables at most 100 columns wide.
#[must_use]
pub fn text(tasking: &Tasking, plan: &Plan, preflight: &Preflight) -> String {
    let mut text = hanging(
        "",
        &format!(
            "Preflight of {}, {}: {}, spacing {}",
            tasking.sortie,
            tasking.date,
            plan.pattern.name(),
            nm(plan.spacing, 2)
        ),
    );
    area_and_legs(&mut text, plan, preflight);
    starts(&mut text, &preflight.start_points);
    effort(&mut text, &preflight.legs, &preflight.effort);
    expected(&mut text, &preflight.expected);
    relaid::spacings(&mut text, &preflight.spacings);
    if let Some(in_time) = &preflight.in_time {
        relaid::time(&mut text, in_time);
    }
    relaid::latitudes(&mut text, &preflight.latitudes);
    text.push('\n');
    for note in &plan.notes {
        text.push_str(&hanging("note: ", note));
    }
    text.push_str(&hanging("", cautions::SHORT));
    text
}

fn heading(text: &mut String, words: &str) {
    text.push_str(&format!("\n{words}\n"));
}

fn fact(text: &mut String, name: &str, words: &str) {
    text.push_str(&hanging(&format!("  {name:<LEAD$}"), words));
}

fn remark(text: &mut String, words: &str) {
    for line in wrap(words, WIDTH - 2) {
        text.push_str(&format!("  {line}\n"));
    }
}

fn area_and_legs(text: &mut String, plan: &Plan, preflight: &Preflight) {
    heading(text, "Area and legs");
    let axis = &preflight.axis;
    let parallel = if axis.parallel {
        "all search legs parallel to it"
    } else {
        "the course of the first leg; not all search legs are parallel to it"
    };
    fact(
        text,
        "axis",
        &format!(
            "{}, {}; {parallel}",
            course(axis.course),
            magnetic(axis.course_magnetic_deg)
        ),
    );
    let extents = &preflight.extents;
    fact(
        text,
        "area",
        &format!(
            "{} along the axis, {} across, {}",
            nm(extents.along, 2),
            nm(extents.across, 2),
            square_nm(extents.area_m2)
        ),
    );
    let legs = &preflight.legs;
    fact(text, "spacing", &nm(plan.spacing, 2));
    fact(
        text,
        "search legs",
        &format!(
            "{}, from {} to {} long",
            legs.search_legs,
            nm(legs.shortest, 2),
            nm(legs.longest, 2)
        ),
    );
    fact(text, "cross-legs", &legs.cross_legs.to_string());
}

fn magnetic(deg: Option<f64>) -> String {
    deg.map_or_else(
        || "magnetic not known".to_owned(),
        |deg| format!("{} M", degrees(deg)),
    )
}

/// `007°`.
fn degrees(deg: f64) -> String {
    format!("{:03}°", deg.round() as u32 % 360)
}

fn starts(text: &mut String, points: &StartPoints) {
    heading(text, "Where the search may begin");
    fact(
        text,
        "as planned",
        &or_none(points.planned, |at| at.to_string()),
    );
    if let Some(note) = &points.note {
        remark(text, note);
        return;
    }
    let columns = [
        ("corner", Left),
        ("angle", Right),
        ("CSP", Left),
        ("° T", Right),
        ("° M", Right),
        ("leg NM", Right),
        ("turn", Left),
        ("left over NM", Right),
    ];
    let rows: Vec<Vec<String>> = points.corners.iter().map(corner_row).collect();
    text.push_str(&table(&columns, &rows));
    remark(
        text,
        &format!(
            "CSP: {} (half a spacing) inside from both edges of the corner; ° T, ° M, leg: the first \
             leg from there; left over: width across the legs that is left over on the side away from the \
             turn",
            nm(points.inset, 2)
        ),
    );
    if let Some(offset) = points.corner_offset {
        let rows: Vec<Vec<String>> = points.corners.iter().filter_map(run_in_row).collect();
        text.push_str(&table(
            &[
                ("corner", Left),
                ("run-in from", Left),
                ("NM to CSP", Right),
            ],
            &rows,
        ));
        remark(
            text,
            &format!(
                "run-in from: on the line of the first leg, {} outside the area and the corner as \
                 measured along the leg",
                nm(offset, 2)
            ),
        );
    }
}

fn run_in_row(corner: &CornerStart) -> Option<Vec<String>> {
    let run_in = corner.start.as_ref()?.run_in?;
    Some(vec![
        compass(corner.bearing_from_middle).to_owned(),
        run_in.from.to_string(),
        nm_figure(run_in.length, 2),
    ])
}

fn corner_row(corner: &CornerStart) -> Vec<String> {
    let mut row = vec![
        compass(corner.bearing_from_middle).to_owned(),
        format!("{}°", figure(corner.inside_angle_deg, 0)),
    ];
    let problem = match corner.problem {
        Some(NoStart::InwardCorner) => "none: it points inwards",
        Some(NoStart::TooNarrow) | None => "none: no room for a leg",
    };
    let start = corner.start.as_ref();
    let of = |write: &dyn Fn(&Start) -> String| or_none(start, write);
    row.push(start.map_or_else(|| problem.to_owned(), |start| start.csp.to_string()));
    row.push(of(&|start| degrees(start.course.deg())));
    row.push(of(&|start| or_none(start.course_magnetic_deg, degrees)));
    row.push(of(&|start| nm_figure(start.first_leg, 2)));
    row.push(of(&|start| {
        match start.turn {
            Side::Left => "left",
            Side::Right => "right",
        }
        .to_owned()
    }));
    row.push(of(&|start| nm_figure(start.left_over, 2)));
    row
}

/// The nearest of eight winds.
fn compass(bearing: Bearing) -> &'static str {
    const WINDS: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    WINDS[(bearing.deg() / 45.0).round() as usize % 8]
}

fn effort(text: &mut String, legs: &LegFigures, effort: &Effort) {
    heading(text, "Distance and time");
    fact(
        text,
        "distance",
        &format!(
            "{} searched + {} crossed = {}",
            nm(legs.search, 1),
            nm(legs.cross, 1),
            nm(legs.total, 1)
        ),
    );
    fact(
        text,
        "time on task",
        &format!(
            "{} at {} over the ground, nothing allowed for turns",
            duration(legs.time_s),
            kt(effort.ground_speed, 0)
        ),
    );
    fact(
        text,
        "time on scene",
        &format!(
            "{} with the allowance for turns and identifying: time on task is {} of it (JP 3-50 Vol \
             I, 1991, para 532)",
            duration(legs.on_scene_s),
            percent(effort.search_share)
        ),
    );
    if let Some(seconds) = effort.area_time_s {
        fact(
            text,
            "by area",
            &format!("{} by A / (V S)", duration(seconds)),
        );
    }
    if let (Some(out), Some(home), Some(transit_s), Some(airborne_s)) = (
        effort.transit_out,
        effort.transit_home,
        effort.transit_s,
        effort.airborne_s,
    ) {
        fact(
            text,
            "transits",
            &format!(
                "{} out, {} home, {} together",
                nm(out, 1),
                nm(home, 1),
                duration(transit_s)
            ),
        );
        fact(
            text,
            "airborne",
            &format!("{}, on scene and transits", duration(airborne_s)),
        );
    }
    if let Some(turns) = &effort.turns {
        let how = if turns.wider_than_spacing {
            "a half turn needs more than the spacing and swings out"
        } else {
            "a half turn fits into the spacing"
        };
        fact(
            text,
            "turns",
            &format!(
                "{}, at 3° a second in still air: radius {}, {how}; {} longer than the cross-legs, \
                 {}, {}",
                turns.count,
                nm(turns.radius, 2),
                nm(turns.extra, 1),
                duration(turns.extra_s),
                if turns.within_allowance {
                    "which the allowance holds: not to be added to it"
                } else {
                    "which is more than the allowance holds"
                }
            ),
        );
    }
}

fn expected(text: &mut String, expected: &Expected) {
    heading(text, "Expected POD");
    fact(
        text,
        "coverage factor",
        &format!(
            "C = W/S = {} / {} = {}",
            nm(expected.sweep_width, 2),
            nm(expected.spacing, 2),
            figure(expected.coverage_factor, 2)
        ),
    );
    for each in &expected.pod {
        let tasked = if each.law == expected.law {
            " (tasked)"
        } else {
            ""
        };
        fact(
            text,
            each.law.name(),
            &format!("{}{tasked}", percent(each.pod)),
        );
    }
    if let Some(pod) = expected.mid_strip_pod {
        fact(
            text,
            "halfway between legs",
            &format!("{}, the least, by inverse cube", percent(pod)),
        );
    }
    if let Some(note) = &expected.note {
        remark(text, note);
    }
}
