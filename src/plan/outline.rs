//! The corners of an area that is tasked in another way.

use super::area::MAX_RADIUS;
use super::area_file;
use crate::geodesy::{LocalFrame, Position, geodesic, graticule};
use crate::input::{InputError, InputFile};
use crate::tasking::{AreaShape, AreaTask};
use crate::units::{Bearing, Length};
use geo::algorithm::buffer::{BufferStyle, LineCap, LineJoin};
use geo::{BoundingRect, Buffer, LineString};
use std::f64::consts::TAU;
use std::path::Path;

/// Corners of the polygon that stands for a circle. Chosen: its edges part from the circle by less
/// than a thousandth of the radius.
const CIRCLE_CORNERS: u32 = 72;
/// Longest edge of an arc at the ends and bends of a corridor, as a share of its half-width. Chosen:
/// the corners lie on the arc, the edges part from it by at most an eighth of its square.
const ARC_EDGE_SHARE: f64 = 0.05;

/// Corners of a tasked area in order round it, and the file they come from, if they do.
///
/// # Errors
/// When the file does not give an area, or a corridor is too long or encloses ground it does not
/// cover.
pub fn of(
    task: &AreaTask,
    tasking_path: &Path,
) -> Result<(Vec<Position>, Option<InputFile>), InputError> {
    let corners = match &task.shape {
        AreaShape::File(file) => {
            let (corners, source) = area_file::read(file)?;
            return Ok((corners, Some(source)));
        }
        AreaShape::Corners(corners) => corners.clone(),
        AreaShape::Box {
            south,
            west,
            north,
            east,
        } => graticule::cell_corners(*south, *west, *north, *east),
        AreaShape::Circle { centre, radius } => circle(*centre, *radius),
        AreaShape::Corridor { line, half_width } => {
            corridor(line, *half_width).map_err(|(problem, hint)| {
                InputError::new(tasking_path, Some(task.line), problem, hint)
            })?
        }
        AreaShape::Gars(cell) => cell.corners(),
        AreaShape::Cell { corner, side_min } => {
            let (south, west, side) = (corner.lat(), corner.lon(), side_min / 60.0);
            graticule::cell_corners(south, west, south + side, west + side)
        }
    };
    Ok((corners, None))
}

/// A regular polygon with the size of the circle: its corners lie up to 0.07 % of the radius outside
/// it, the middles of its edges as much inside.
fn circle(centre: Position, radius: Length) -> Vec<Position> {
    // A regular n-gon with its corners at R has n/2 · R² sin(2π/n), a circle π r².
    let angle = TAU / f64::from(CIRCLE_CORNERS);
    let reach = Length::from_m(radius.m() * (angle / angle.sin()).sqrt());
    (0..CIRCLE_CORNERS)
        .map(|i| {
            let course = Bearing::from_deg(f64::from(i) * 360.0 / f64::from(CIRCLE_CORNERS));
            geodesic::destination(centre, course, reach)
        })
        .collect()
}

/// All ground within the half-width of the line, in a plane about the middle of the line: round at
/// its ends and on the outside of its bends.
fn corridor(line: &[Position], half_width: Length) -> Result<Vec<Position>, (String, String)> {
    let reach_m = line
        .iter()
        .map(|point| geodesic::distance(line[0], *point).m())
        .fold(0.0, f64::max);
    if reach_m > 2.0 * MAX_RADIUS.m() {
        let problem = format!(
            "the line goes {:.0} NM from its start; an area can reach at most {:.0} NM from its centre",
            Length::from_m(reach_m).nm(),
            MAX_RADIUS.nm()
        );
        return Err((
            problem,
            "give a shorter line, or share it out over several taskings".into(),
        ));
    }
    let in_plane = |frame: &LocalFrame| -> LineString<f64> {
        line.iter().map(|point| frame.forward(*point)).collect()
    };
    let rough = LocalFrame::new(line[0]);
    let middle = in_plane(&rough)
        .bounding_rect()
        .map_or(line[0], |bounds| rough.inverse(bounds.center()));
    let frame = LocalFrame::new(middle);
    let style = BufferStyle::new(half_width.m())
        .line_cap(LineCap::Round(ARC_EDGE_SHARE))
        .line_join(LineJoin::Round(ARC_EDGE_SHARE));
    let buffer = in_plane(&frame).buffer_with_style(style);
    match buffer.0.as_slice() {
        [one] if one.interiors().is_empty() => Ok(one
            .exterior()
            .coords()
            .map(|xy| frame.inverse(*xy))
            .collect()),
        _ => Err((
            "the corridor goes round ground that is farther from its line than `half_width`".into(),
            "end the line before it closes up, or widen the corridor".into(),
        )),
    }
}
