//! A table entered with height and visibility.

use super::Refusal;
use super::table::WidthTable;
use crate::units::Length;

/// Places this near a row or column, as a share, are on it: a quantity that was converted from one
/// unit to another and back.
const ON_A_LINE: f64 = 1e-9;

/// What a table gives at one height and visibility.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The width, NM.
    pub width_nm: f64,
    /// How much less it may be, NM: rounding, interpolation, other readings of the cells.
    pub less_nm: f64,
    /// How much more it may be, NM.
    pub more_nm: f64,
    /// Document and tables read.
    pub source: String,
    /// What is in doubt about the cells read.
    pub doubts: Vec<String>,
}

impl WidthTable {
    /// The width for an object, bilinear between the heights and visibilities of the table.
    ///
    /// Its spread is half the rounding step, plus for values between two cells t (1 - t) times their
    /// difference, a quarter of it half-way and none on a cell, plus the distance of other readings of
    /// the cells used (all chosen).
    ///
    /// # Errors
    /// When the table has no such object, or height or visibility lie outside it, or a cell is empty.
    pub fn look_up(
        &self,
        object: &str,
        height: Length,
        visibility: Length,
    ) -> Result<Reading, Refusal> {
        let unit = self.visibility_unit;
        let heights = self.heights.get_ref();
        let feet: Vec<f64> = heights.iter().map(|rows| *rows.feet.get_ref()).collect();
        let columns: Vec<f64> = self
            .visibility
            .get_ref()
            .iter()
            .map(|v| *v.get_ref())
            .collect();
        let outside = |key, what: &str, value: f64, lines: &[f64], unit: &str| {
            let (low, high) = (lines[0], lines[lines.len() - 1]);
            Refusal::new(
                key,
                format!("the table has no {what} of {} {unit}", rounded(value)),
                format!(
                    "give one from {low} to {high} {unit}, another table with `sweep_width_table`, or \
                     the width itself with `sweep_width`"
                ),
            )
        };
        let rows = bracket(&feet, height.ft())
            .ok_or_else(|| outside("search_height", "height", height.ft(), &feet, "ft"))?;
        let cols = bracket(&columns, unit.of(visibility)).ok_or_else(|| {
            let value = unit.of(visibility);
            outside("visibility", "visibility", value, &columns, unit.name())
        })?;
        let mut reading = Reading {
            width_nm: 0.0,
            less_nm: self.step.get_ref() / 2.0,
            more_nm: self.step.get_ref() / 2.0,
            source: String::new(),
            doubts: Vec::new(),
        };
        let mut corners = Vec::new();
        let mut tables: Vec<&str> = Vec::new();
        for (row, row_weight) in rows.parts() {
            let height = &heights[row];
            if !tables.contains(&height.table.as_str()) {
                tables.push(&height.table);
            }
            if let Some(note) = &height.note {
                reading.doubts.push(format!("{} ft: {note}", feet[row]));
            }
            for (column, column_weight) in cols.parts() {
                let cell = height.widths.get_ref().get(object);
                let cell = cell.and_then(|cells| cells.get_ref().get(column));
                let width_nm = cell
                    .and_then(|cell| cell.get_ref().0)
                    .ok_or_else(|| self.no_figure(object, feet[row], columns[column]))?;
                let weight = row_weight * column_weight;
                reading.width_nm += weight * width_nm;
                corners.push((row, column, width_nm));
                if let Some(doubt) = self.doubt(feet[row], object, column) {
                    let (low, high) = extremes(&doubt.readings);
                    reading.less_nm += weight * (width_nm - low).max(0.0);
                    reading.more_nm += weight * (high - width_nm).max(0.0);
                    let shown: Vec<String> =
                        doubt.readings.iter().map(|r| format!("{r:.1}")).collect();
                    reading.doubts.push(format!(
                        "{object}, {} ft, {} {}: {} NM; {}",
                        feet[row],
                        columns[column],
                        unit.name(),
                        shown.join(" / "),
                        doubt.note
                    ));
                }
            }
        }
        // Along each side of the rectangle of cells, by the weight of that side.
        let mut between = 0.0;
        for (a, first) in corners.iter().enumerate() {
            for second in &corners[a + 1..] {
                let difference = (first.2 - second.2).abs();
                if first.0 == second.0 {
                    between += rows.weight(first.0) * cols.curvature() * difference;
                } else if first.1 == second.1 {
                    between += cols.weight(first.1) * rows.curvature() * difference;
                }
            }
        }
        reading.less_nm += between;
        reading.more_nm += between;
        let edition = &self.edition;
        reading.source = format!(
            "{}, {edition}, Table {}",
            self.document,
            tables.join(" and ")
        );
        reading.doubts.extend(self.note.clone());
        Ok(reading)
    }

    fn no_figure(&self, object: &str, feet: f64, visibility: f64) -> Refusal {
        let unit = self.visibility_unit.name();
        let lines = self.visibility.get_ref();
        let column = lines.iter().position(|v| *v.get_ref() == visibility);
        let with: Vec<String> = self
            .rows()
            .filter(|(_, name, cells)| {
                *name == object && column.is_some_and(|column| cells[column].is_some())
            })
            .map(|(feet, _, _)| format!("{feet} ft"))
            .collect();
        let hint = if with.is_empty() {
            "it has none at this visibility; search in another, or give `sweep_width` itself"
                .to_owned()
        } else {
            format!(
                "at this visibility it has one at {}; between two heights it needs both",
                with.join(", ")
            )
        };
        Refusal::new(
            "search_height",
            format!(
                "the table has no figure for \"{object}\" at {feet} ft and a visibility of \
                 {visibility} {unit}"
            ),
            hint,
        )
    }
}

/// Between which two lines a value lies, and how far from the first to the second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bracket {
    first: usize,
    /// 0 on the first line, less than 1.
    share: f64,
}

impl Bracket {
    /// The lines with their weights; one alone where the value is on it.
    pub(super) fn parts(self) -> impl Iterator<Item = (usize, f64)> {
        let second = (self.share > 0.0).then_some((self.first + 1, self.share));
        std::iter::once((self.first, 1.0 - self.share)).chain(second)
    }

    fn weight(self, line: usize) -> f64 {
        self.parts()
            .find(|(i, _)| *i == line)
            .map_or(0.0, |(_, weight)| weight)
    }

    /// t (1 - t).
    fn curvature(self) -> f64 {
        self.share * (1.0 - self.share)
    }
}

/// Where `value` lies between rising `lines`; `None` outside them.
pub(super) fn bracket(lines: &[f64], value: f64) -> Option<Bracket> {
    if let Some(first) = lines
        .iter()
        .position(|l| (l - value).abs() <= ON_A_LINE * l.abs())
    {
        return Some(Bracket { first, share: 0.0 });
    }
    let first = lines
        .windows(2)
        .position(|pair| pair[0] < value && value < pair[1])?;
    let share = (value - lines[first]) / (lines[first + 1] - lines[first]);
    Some(Bracket { first, share })
}

fn extremes(values: &[f64]) -> (f64, f64) {
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(0.0, f64::max);
    (low, high)
}

/// At most two decimals, without zeros at the end.
pub(super) fn rounded(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
