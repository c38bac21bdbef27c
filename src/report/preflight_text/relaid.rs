//! What the tasking comes to when laid out again: at other spacings, in a given time, at other latitudes.

use super::super::format::{duration, figure, nm_figure, or_none, percent, square_nm};
use super::super::table::{Align, Align::Left, Align::Right, table};
use super::{heading, remark};
use crate::preflight::in_time::InSearchTime;
use crate::preflight::{InTime, LatitudeRow, Latitudes, LegFigures, Relaid, SpacingRow};

/// Columns of a tasking laid out again.
const LAID: [(&str, Align); 5] = [
    ("legs", Right),
    ("longest NM", Right),
    ("total NM", Right),
    ("on task", Right),
    ("on scene", Right),
];

fn laid(relaid: &Relaid) -> Vec<String> {
    let legs = relaid.legs.as_ref();
    let of = |write: &dyn Fn(&LegFigures) -> String| or_none(legs, write);
    vec![
        of(&|legs| legs.search_legs.to_string()),
        of(&|legs| nm_figure(legs.longest, 2)),
        of(&|legs| nm_figure(legs.total, 1)),
        of(&|legs| duration(legs.time_s)),
        of(&|legs| duration(legs.on_scene_s)),
    ]
}

/// Why rows have no figures, each reason once.
fn problems<'a>(text: &mut String, laid: impl Iterator<Item = &'a Relaid>) {
    let mut told: Vec<&str> = Vec::new();
    for problem in laid.filter_map(|laid| laid.problem.as_deref()) {
        if !told.contains(&problem) {
            told.push(problem);
            remark(text, &format!("–: {problem}"));
        }
    }
}

pub(super) fn spacings(text: &mut String, rows: &[SpacingRow]) {
    heading(text, "Spacing for a POD, and this area at that spacing");
    let columns = [
        &[
            ("POD", Right),
            ("law", Left),
            ("C", Right),
            ("spacing NM", Right),
        ],
        &LAID[..],
    ]
    .concat();
    let cells: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            let own = vec![
                wanted(row.pod),
                row.law.name().to_owned(),
                figure(row.coverage_factor, 2),
                nm_figure(row.spacing, 2),
            ];
            [own, laid(&row.laid)].concat()
        })
        .collect();
    text.push_str(&table(&columns, &cells));
    problems(text, rows.iter().map(|row| &row.laid));
    if rows.iter().any(|row| row.laid.legs.is_some()) {
        remark(
            text,
            "legs come in whole numbers: part of a strip may stay out of them at the far edge, or the \
             last one reach over it",
        );
    }
}

pub(super) fn time(text: &mut String, time: &InTime) {
    heading(text, &format!("In {} on scene", duration(time.on_scene_s)));
    let columns = [
        &[
            ("searched in", Left),
            ("area NM²", Right),
            ("crews", Right),
            ("spacing NM", Right),
            ("POD", Right),
        ],
        &LAID[..4],
    ]
    .concat();
    let row = |name: &str, case: &InSearchTime| {
        let own = vec![
            format!("{name}, {}", duration(case.search_s)),
            square_nm(case.area_m2).trim_end_matches(" NM²").to_owned(),
            case.crews.to_string(),
            nm_figure(case.spacing, 2),
            percent(case.pod),
        ];
        [own, laid(&case.laid)[..4].to_vec()].concat()
    };
    let cells = [
        row("all of it", &time.without_allowance),
        row("85 % of it", &time.with_allowance),
    ];
    text.push_str(&table(&columns, &cells));
    problems(
        text,
        [&time.without_allowance.laid, &time.with_allowance.laid].into_iter(),
    );
    remark(
        text,
        "area: what one crew searches at the tasked spacing, A = V S T; crews: for the area of the \
         plan; spacing: at which one crew searches the area of the plan, S = A / (V T), its POD by the \
         tasked law, and the pattern laid out so",
    );
    if let Some(note) = &time.note {
        remark(text, note);
    }
}

pub(super) fn latitudes(text: &mut String, latitudes: &Latitudes) {
    heading(text, "The same area in degrees at other latitudes");
    if let Some(note) = &latitudes.note {
        remark(text, note);
        return;
    }
    let columns = [
        &[
            ("latitude", Right),
            ("1' of lon NM", Right),
            ("along NM", Right),
            ("across NM", Right),
        ],
        &LAID[..],
    ]
    .concat();
    let cells: Vec<Vec<String>> = latitudes.rows.iter().map(latitude_row).collect();
    text.push_str(&table(&columns, &cells));
    problems(text, latitudes.rows.iter().map(|row| &row.laid));
    remark(
        text,
        "*: its own; everywhere laid out from the area alone, at the tasked spacing",
    );
}

fn latitude_row(row: &LatitudeRow) -> Vec<String> {
    let side = if row.latitude_deg < 0.0 { "S" } else { "N" };
    let own = if row.own { "*" } else { "" };
    let extents = row.extents.as_ref();
    let own = vec![
        format!("{own}{}° {side}", figure(row.latitude_deg.abs(), 2)),
        nm_figure(row.minute_of_longitude, 4),
        or_none(extents, |extents| nm_figure(extents.along, 2)),
        or_none(extents, |extents| nm_figure(extents.across, 2)),
    ];
    [own, laid(&row.laid)].concat()
}

/// A POD as it was asked for, to four digits: `87.5 %`.
fn wanted(pod: f64) -> String {
    let digits = figure(100.0 * pod, 2);
    format!("{} %", digits.trim_end_matches('0').trim_end_matches('.'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pod_is_written_as_it_was_asked_for() {
        assert_eq!(wanted(0.8), "80 %");
        assert_eq!(wanted(0.875), "87.5 %");
        assert_eq!(wanted(0.9999), "99.99 %");
    }
}
