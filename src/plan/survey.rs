//! The corners of the search area, as a crew flies to them to check them before searching.

use super::Plan;
use crate::geodesy::{GarsCell, Position, geodesic};
use crate::units::{Bearing, Length};
use serde::Serialize;

/// One corner of the search area.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AreaCorner {
    /// `A` for the first corner in the order of the area, then `B`, `C`, …; after `Z` comes `AA`.
    pub letter: String,
    /// Where it is.
    pub at: Position,
    /// The GARS cell of 5' it lies in.
    pub gars: String,
    /// Distance to the next corner; from the last one to the first.
    #[serde(rename = "to_next_m")]
    pub to_next: Length,
    /// True course to the next corner, at this one.
    #[serde(rename = "course_to_next_true_deg")]
    pub course_to_next: Bearing,
    /// The same, magnetic, degrees; `None` without a declination.
    #[serde(rename = "course_to_next_magnetic_deg")]
    pub course_to_next_magnetic_deg: Option<f64>,
}

/// The sharp corners of the plan's area, in its own order; none for a circle.
#[must_use]
pub fn area_corners(plan: &Plan) -> Vec<AreaCorner> {
    let corners = plan.area.sharp_corners();
    let nexts = corners.iter().cycle().skip(1);
    corners
        .iter()
        .zip(nexts)
        .enumerate()
        .map(|(index, (at, next))| {
            let line = geodesic::between(*at, *next);
            AreaCorner {
                letter: letter(index),
                at: *at,
                gars: GarsCell::at(*at).to_string(),
                to_next: line.distance,
                course_to_next: line.course_at_start,
                course_to_next_magnetic_deg: plan
                    .declination
                    .as_ref()
                    .map(|declination| declination.magnetic_from_true(line.course_at_start)),
            }
        })
        .collect()
}

fn letter(index: usize) -> String {
    let last = char::from(b'A' + (index % 26) as u8);
    match index / 26 {
        0 => last.to_string(),
        rest => format!("{}{last}", letter(rest - 1)),
    }
}

#[cfg(test)]
mod tests {
    use super::letter;

    #[test]
    fn letters_go_on_after_z() {
        let written = [0, 1, 25, 26, 51, 52, 701, 702].map(letter);
        assert_eq!(written, ["A", "B", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]);
    }
}
