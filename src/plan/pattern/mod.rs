//! Tasking → [`Plan`]: one file per pattern, and what they share.

mod contour;
mod expanding_square;
mod legs;
mod polar;
mod route;
mod sector;
mod sweep;
mod track_line;

use super::area::{AreaError, MAX_LATITUDE_DEG, latitude};
use super::{Area, Leg, LegKind, PatternKind, Plan, line_file, outline};
use crate::geodesy::{Declination, LegInPlane, LocalFrame, Position, geodesic};
use crate::input::{InputError, InputFile};
use crate::tasking::{
    AreaShape, AreaTask, Course, PatternTask, RouteSource, SweepTask, Tasking, TrackLineTask,
};
use crate::units::{Bearing, Length};
use geo::{ConvexHull, MultiPoint, Point};
use std::path::Path;

/// What is wrong, and what would do.
type Refusal = (String, String);

/// A pattern laid out, before anything else about the plan is known.
struct Layout {
    pattern: PatternKind,
    legs: Vec<Leg>,
    spacing: Length,
    /// Corners of the ground the pattern is made for, where the kind of pattern settles it.
    own_area: Option<Vec<Position>>,
    notes: Vec<String>,
    declination: Option<Declination>,
}

/// Lays a tasking out on the ground. `tasking_path` is named in errors.
///
/// # Errors
/// When the corners do not make an area, a magnetic course has no declination, the pattern does not
/// fit into the area, or the file of an area or a route cannot be used.
pub fn lay_out(tasking: &Tasking, tasking_path: &Path) -> Result<Plan, InputError> {
    let refuse_at = |line: u32, (problem, hint): Refusal| {
        InputError::new(tasking_path, Some(line), problem, hint)
    };
    let refuse = |refusal: Refusal| refuse_at(tasking.places.pattern, refusal);
    let mut inputs = Vec::new();
    let given_area = tasking
        .area
        .as_ref()
        .map(|task| given_area(task, tasking_path, &mut inputs))
        .transpose()?;
    let mut layout = match &tasking.pattern {
        PatternTask::ParallelSweep(task) => {
            sweep_layout(PatternKind::ParallelSweep, task, tasking, &given_area).map_err(refuse)?
        }
        PatternTask::CreepingLine(task) => {
            sweep_layout(PatternKind::CreepingLine, task, tasking, &given_area).map_err(refuse)?
        }
        PatternTask::ExpandingSquare(task) => {
            let (course, declination) =
                first_course(tasking, task.first_course, task.datum).map_err(refuse)?;
            expanding_square::layout(task, course, declination)
        }
        PatternTask::Sector(task) => {
            let (course, declination) =
                first_course(tasking, task.first_course, task.datum).map_err(refuse)?;
            sector::layout(task, course, declination)
        }
        PatternTask::TrackLineReturn(task) => {
            track_line_layout(PatternKind::TrackLineReturn, task, tasking, &given_area)
                .map_err(|refusal| refuse_at(task.file_line, refusal))?
        }
        PatternTask::TrackLineNonReturn(task) => {
            track_line_layout(PatternKind::TrackLineNonReturn, task, tasking, &given_area)
                .map_err(|refusal| refuse_at(task.file_line, refusal))?
        }
        PatternTask::Contour(task) => {
            let near = task.bands[0].line[0];
            contour::layout(task, declination(tasking, near).ok())
        }
        PatternTask::Legs(task) => {
            let declination = declination(tasking, task.legs[0].start).ok();
            legs::layout(task, declination, given_area.is_some())
        }
        PatternTask::Route { source, spacing } => {
            let points = match source {
                RouteSource::Points(points) => points.clone(),
                RouteSource::File { file, name } => {
                    let (points, source) = line_file::read(file, name.as_deref())?;
                    inputs.push(source);
                    points
                }
            };
            Layout {
                pattern: PatternKind::Route,
                legs: route::legs(&points, *spacing),
                spacing: *spacing,
                own_area: None,
                notes: Vec::new(),
                declination: declination(tasking, points[0]).ok(),
            }
        }
    };
    within_latitudes(&layout.legs).map_err(refuse)?;
    if tasking.detection.view.blind_m >= layout.spacing.m() {
        let problem =
            "`blind_strip` in [detection] is as wide as the spacing of the legs, or wider";
        let hint = "give a narrower `blind_strip`, or legs farther apart";
        let refusal = (problem.to_owned(), hint.to_owned());
        return Err(refuse_at(tasking.places.blind_strip, refusal));
    }
    let area_given = given_area.is_some();
    let (area, frame) = match (given_area, layout.own_area.take()) {
        (Some(given), _) => Ok(given),
        (None, Some(corners)) => Area::new(&corners),
        (None, None) => {
            let search = layout.legs.iter().filter(|leg| leg.kind == LegKind::Search);
            Area::new(&strip_hull(search, layout.spacing))
        }
    }
    .map_err(|error| {
        let hint = "check the size of the pattern, or give an [area]";
        refuse((error.to_string(), hint.into()))
    })?;
    if area_given {
        layout
            .notes
            .extend(outside_note(&layout.legs, &area, &frame));
    }
    if let Some(warning) = layout.declination.as_ref().and_then(|d| d.warning.clone()) {
        layout.notes.push(warning);
    }
    Ok(Plan {
        pattern: layout.pattern,
        legs: layout.legs,
        spacing: layout.spacing,
        area,
        area_given,
        frame,
        declination: layout.declination,
        notes: layout.notes,
        inputs,
    })
}

/// The area of a tasking; the file it comes from is added to `inputs`.
fn given_area(
    task: &AreaTask,
    tasking_path: &Path,
    inputs: &mut Vec<InputFile>,
) -> Result<(Area, LocalFrame), InputError> {
    let (corners, file) = outline::of(task, tasking_path)?;
    inputs.extend(file);
    Area::new(&corners).map_err(|error| {
        let hint = area_hint(&error);
        match &task.shape {
            AreaShape::File(file) => InputError::new(file, None, error.to_string(), hint),
            _ => InputError::new(tasking_path, Some(task.line), error.to_string(), hint),
        }
    })
}

/// What would do instead of corners that make no area.
fn area_hint(error: &AreaError) -> String {
    match error {
        AreaError::TooLarge(_) => {
            "give a smaller [area], or share it out over several taskings".into()
        }
        AreaError::TooFarNorthOrSouth(lat) => {
            format!(
                "keep [area] within latitude {MAX_LATITUDE_DEG:.0}°: {}",
                beyond(*lat)
            )
        }
        AreaError::Crossing {
            order: Some(order), ..
        } => {
            let order: Vec<String> = order.iter().map(usize::to_string).collect();
            let order = order.join(", ");
            format!(
                "list the corners of [area] in order round it; in the order {order} no edges cross"
            )
        }
        AreaError::SameCorner(_, second) => {
            format!(
                "list the corners of [area] in order round it, each once: leave corner {second} out"
            )
        }
        _ => "list the corners of [area] in order round it, each once".into(),
    }
}

/// How far a latitude lies beyond the greatest one, and which way back.
fn beyond(lat: f64) -> String {
    let way = if lat < 0.0 { "north" } else { "south" };
    // A minute of latitude is a mile, rounded up.
    let nm = ((lat.abs() - MAX_LATITUDE_DEG) * 60.0 + 1.0).ceil();
    format!("{nm:.0} NM farther {way} would do")
}

/// Refuses a pattern that reaches too near to a pole.
fn within_latitudes(legs: &[Leg]) -> Result<(), Refusal> {
    // The geodesic bulges towards the pole: its middle counts as well.
    let lats = legs.iter().flat_map(|leg| {
        let middle = leg.at(Length::from_m(leg.length.m() / 2.0));
        [leg.start, middle, leg.end].map(Position::lat)
    });
    let farthest = lats.max_by(|a, b| a.abs().total_cmp(&b.abs()));
    match farthest.filter(|lat| lat.abs() > MAX_LATITUDE_DEG) {
        None => Ok(()),
        Some(lat) => Err((
            format!(
                "the pattern reaches {}; nothing beyond {MAX_LATITUDE_DEG:.0}° can be laid out",
                latitude(lat)
            ),
            format!("move the pattern, or make it smaller: {}", beyond(lat)),
        )),
    }
}

/// A parallel sweep or a creeping line.
fn sweep_layout(
    pattern: PatternKind,
    task: &SweepTask,
    tasking: &Tasking,
    given_area: &Option<(Area, LocalFrame)>,
) -> Result<Layout, Refusal> {
    let near = match (task.start, given_area) {
        (Some(start), _) => start,
        (None, Some((_, frame))) => frame.origin(),
        (None, None) => {
            return Err((
                "the pattern has neither a start nor an area".into(),
                "give `start` in [pattern] or an [area]".into(),
            ));
        }
    };
    let (course, declination) = first_course(tasking, task.first_course, near)?;
    let area = given_area.as_ref().map(|(area, frame)| (area, frame));
    let sweep::Sweep {
        legs,
        first_set,
        mut notes,
    } = sweep::sweep(task, course, area)?;
    if let (PatternKind::CreepingLine, Some((area, _))) = (pattern, area) {
        notes.extend(sweep::along_the_longer_side(course, area));
    }
    // The ground of a pattern is that of its first set; legs between its legs are nearer to each other.
    let own_area = task.interleave.then(|| {
        let first = legs.iter().filter(|leg| leg.kind == LegKind::Search);
        strip_hull(first.take(first_set), task.spacing)
    });
    Ok(Layout {
        pattern,
        spacing: if task.interleave {
            Length::from_m(task.spacing.m() / 2.0)
        } else {
            task.spacing
        },
        legs,
        own_area,
        notes,
        declination,
    })
}

/// A track line, with the declination at its first place.
fn track_line_layout(
    pattern: PatternKind,
    task: &TrackLineTask,
    tasking: &Tasking,
    given_area: &Option<(Area, LocalFrame)>,
) -> Result<Layout, Refusal> {
    let declination = declination(tasking, task.line[0]).ok();
    track_line::layout(pattern, task, declination, given_area.is_some())
}

/// The true course of the first leg, and the declination near its start if it is known.
fn first_course(
    tasking: &Tasking,
    course: Course,
    near: Position,
) -> Result<(Bearing, Option<Declination>), Refusal> {
    let declination = declination(tasking, near);
    let course = true_course(course, &declination).map_err(|problem| {
        let hint = "give the course as true, such as \"092 T\"";
        (problem, hint.to_owned())
    })?;
    Ok((course, declination.ok()))
}

fn declination(
    tasking: &Tasking,
    near: Position,
) -> Result<Declination, crate::geodesy::magnetic::MagneticError> {
    let height = tasking.flight.altitude.unwrap_or_default();
    Declination::from_model(near, height, tasking.date)
}

fn true_course<E: std::fmt::Display>(
    course: Course,
    declination: &Result<Declination, E>,
) -> Result<Bearing, String> {
    match (course, declination) {
        (Course::True(bearing), _) => Ok(bearing),
        (Course::Magnetic(deg), Ok(declination)) => Ok(declination.true_from_magnetic(deg)),
        (Course::Magnetic(_), Err(error)) => {
            Err(format!("the first course is magnetic, but {error}"))
        }
    }
}

/// Where a tasking gives no area: the convex hull of all strips, each reaching half a spacing past
/// its leg on every side — for parallel legs the rectangle of which the pattern, by the IAMSAR
/// rule, keeps half a spacing clear inside.
fn strip_hull<'l>(search: impl Iterator<Item = &'l Leg>, spacing: Length) -> Vec<Position> {
    let half = Length::from_m(spacing.m() / 2.0);
    let corners: Vec<Position> = search
        .flat_map(|leg| strip_outline(leg, half, half))
        .collect();
    let Some(first) = corners.first() else {
        return corners;
    };
    let rough = LocalFrame::new(*first);
    let points: MultiPoint<f64> = corners
        .iter()
        .map(|corner| Point::from(rough.forward(*corner)))
        .collect();
    let hull = points.convex_hull();
    let ring = hull.exterior().coords();
    ring.map(|xy| rough.inverse(*xy)).collect()
}

/// Where the passes of a track line lie, in the order flown: spacings from the line, positive on the side of
/// the first turn.
#[must_use]
pub fn track_line_offsets(passes: u32) -> Vec<f64> {
    track_line::offsets(passes)
}

/// Corners of the rectangle about a leg: `half_width` to each side, `past` beyond each end; in
/// order left of the start, left of the end, right of the end, right of the start.
#[must_use]
pub fn strip_outline(leg: &Leg, half_width: Length, past: Length) -> [Position; 4] {
    let line = geodesic::between(leg.start, leg.end);
    let corner = |from: Position, course: Bearing, ahead: f64, side_deg: f64| {
        let (at, course) = geodesic::travel(from, course, Length::from_m(ahead));
        geodesic::destination(at, course.turned(side_deg), half_width)
    };
    let (start, end) = (line.course_at_start, line.course_at_end);
    [
        corner(leg.start, start, -past.m(), -90.0),
        corner(leg.end, end, past.m(), -90.0),
        corner(leg.end, end, past.m(), 90.0),
        corner(leg.start, start, -past.m(), 90.0),
    ]
}

/// Says which legs leave the area, and how far.
fn outside_note(legs: &[Leg], area: &Area, frame: &LocalFrame) -> Option<String> {
    // A leg on the very edge is not outside: a metre covers the rounding of corners.
    const SLACK_M: f64 = 1.0;
    use geo::{Distance, Euclidean};
    let outside: Vec<String> = legs
        .iter()
        .filter(|leg| leg.kind == LegKind::Search)
        .filter_map(|leg| {
            let reach = [leg.start, leg.end]
                .into_iter()
                .map(|end| frame.forward(end))
                .filter(|xy| !area.contains(*xy))
                .map(|xy| Euclidean.distance(&Point::from(xy), area.polygon()))
                .fold(0.0, f64::max);
            (reach > SLACK_M)
                .then(|| format!("{} by {:.2} NM", leg.label, Length::from_m(reach).nm()))
        })
        .collect();
    let most = outside.len().min(6);
    (!outside.is_empty()).then(|| {
        let more = if outside.len() > most { ", …" } else { "" };
        format!(
            "search legs reach outside the area: {}{more}",
            outside[..most].join(", ")
        )
    })
}

/// Search legs in order, labelled `1`, `2`, …, with a cross-leg `1-2` where one does not begin where the
/// one before ends.
fn with_cross_legs(search: &[(Position, Position)]) -> Vec<Leg> {
    let mut legs = Vec::with_capacity(2 * search.len());
    let mut at: Option<Position> = None;
    for (i, (start, end)) in search.iter().enumerate() {
        if let Some(last) = at.filter(|last| last != start) {
            let label = format!("{i}-{}", i + 1);
            legs.push(Leg::new(label, LegKind::Cross, last, *start));
        }
        legs.push(Leg::new((i + 1).to_string(), LegKind::Search, *start, *end));
        at = Some(*end);
    }
    legs
}

/// Every leg as seen from the plane of the plan, in order.
#[must_use]
pub fn frames(plan: &Plan) -> Vec<LegInPlane> {
    let legs = plan.legs.iter();
    legs.map(|leg| LegInPlane::new(leg.frame(), &plan.frame))
        .collect()
}
