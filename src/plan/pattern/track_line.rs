//! Track line, one aircraft: with return (TSR) and without (TSN).
//!
//! The intended track of the object is searched along one side and back along the other; the first pass
//! may run half a spacing beside it (MART II p. 139; the names JP 3-50 Vol I, 1991, p. 180). More passes
//! than the manuals draw go on outwards, on both sides alike. Every pass is parallel to the line: its
//! legs are those of the line moved square to themselves, and meet where the moved legs cross.

use super::{Layout, Refusal, with_cross_legs};
use crate::geodesy::{Declination, Position, geodesic};
use crate::plan::PatternKind;
use crate::tasking::TrackLineTask;
use crate::tasking::quantity::at_most;
use crate::units::{Bearing, Length};

/// Shortest leg of a pass inside a bend, in spacings. Chosen: on less a leg flown cannot be told from
/// a turn.
const SHORTEST_SPACINGS: f64 = 0.5;

/// A track line; the edges of its own ground count only where no area is given.
pub(super) fn layout(
    pattern: PatternKind,
    task: &TrackLineTask,
    declination: Option<Declination>,
    area_given: bool,
) -> Result<Layout, Refusal> {
    let vertices = vertices(&task.line);
    no_bend_too_sharp(task, &vertices, area_given)?;
    let at = |offset: f64| {
        let offset_m = offset * task.turn.sign() * task.spacing.m();
        vertices.iter().map(move |vertex| vertex.beside(offset_m))
    };
    let mut search = Vec::new();
    for (pass, offset) in offsets(task.passes).into_iter().enumerate() {
        let mut places: Vec<Position> = at(offset).collect();
        if pass % 2 == 1 {
            places.reverse();
        }
        search.extend(places.windows(2).map(|pair| (pair[0], pair[1])));
    }
    Ok(Layout {
        pattern,
        legs: with_cross_legs(&search),
        spacing: task.spacing,
        own_area: (!area_given).then(|| ground(task, &vertices)),
        notes: Vec::new(),
        declination,
    })
}

/// Where the passes lie, in spacings from the line, positive on the side of the first turn. An even
/// number: ∓1/2, ±3/2, ∓5/2, …; an odd one: on the line, then ±1, ∓2, …. So the first turn is to the
/// tasked side, and from each pair of passes to the next it is one spacing.
pub(super) fn offsets(passes: u32) -> Vec<f64> {
    let (even, pairs) = (passes.is_multiple_of(2), passes / 2);
    let on_the_line = (!even).then_some(0.0);
    let beside = (0..pairs).flat_map(|j| {
        let j = f64::from(j);
        let size = if even { j + 0.5 } else { j + 1.0 };
        let first_side = if even { -1.0 } else { 1.0 };
        let first = if j % 2.0 == 0.0 {
            first_side
        } else {
            -first_side
        } * size;
        [first, -first]
    });
    on_the_line.into_iter().chain(beside).collect()
}

/// A place of the line, and where the lines parallel to it bend abeam of it.
struct Vertex {
    at: Position,
    /// Direction to the right in which those bends lie.
    across: Bearing,
    /// Turn of the line there, degrees, right positive; 0 at its ends.
    turn_deg: f64,
}

impl Vertex {
    /// Where the line `offset_m` to the right bends: square to both stretches at once.
    fn beside(&self, offset_m: f64) -> Position {
        let reach_m = offset_m / (self.turn_deg / 2.0).to_radians().cos();
        geodesic::destination(self.at, self.across, Length::from_m(reach_m))
    }

    /// By how much a line one unit to the right is shorter, on each side of the bend, in units.
    fn shortening(&self) -> f64 {
        (self.turn_deg / 2.0).to_radians().tan()
    }
}

fn vertices(line: &[Position]) -> Vec<Vertex> {
    let stretches: Vec<_> = line
        .windows(2)
        .map(|pair| geodesic::between(pair[0], pair[1]))
        .collect();
    line.iter()
        .enumerate()
        .map(|(i, at)| {
            let arriving = i.checked_sub(1).map(|i| stretches[i].course_at_end);
            let leaving = stretches.get(i).map(|stretch| stretch.course_at_start);
            let turn_deg = arriving
                .zip(leaving)
                .map_or(0.0, |(arriving, leaving)| arriving.turn_to(leaving));
            let along = match (arriving, leaving) {
                (Some(arriving), _) => arriving.turned(turn_deg / 2.0),
                (None, Some(leaving)) => leaving,
                (None, None) => Bearing::from_deg(0.0),
            };
            Vertex {
                at: *at,
                across: along.turned(90.0),
                turn_deg,
            }
        })
        .collect()
}

/// Refuses a line on whose inner side a leg of the outermost pass would be too short, or the edge of
/// the ground would turn back on itself.
fn no_bend_too_sharp(
    task: &TrackLineTask,
    vertices: &[Vertex],
    area_given: bool,
) -> Result<(), Refusal> {
    let outermost = (f64::from(task.passes) - 1.0) / 2.0;
    let edge = if area_given {
        0.0
    } else {
        f64::from(task.passes) / 2.0
    };
    // A stretch L between bends that shorten by t each, c spacings out, has L - c S t; the passes lie
    // on both sides, so the sign of t does not matter.
    let limits = vertices.windows(2).enumerate().map(|(i, pair)| {
        let length_m = geodesic::distance(pair[0].at, pair[1].at).m();
        let shortening = (pair[0].shortening() + pair[1].shortening()).abs();
        let widest_m = if task.passes == 1 && edge == 0.0 {
            f64::INFINITY
        } else {
            length_m / (outermost * shortening + SHORTEST_SPACINGS).max(edge * shortening)
        };
        (i, widest_m, length_m, shortening)
    });
    let Some((i, widest_m, ..)) = limits
        .clone()
        .filter(|(_, widest_m, ..)| *widest_m < task.spacing.m())
        .min_by(|a, b| a.1.total_cmp(&b.1))
    else {
        return Ok(());
    };
    // The greatest number of passes that every stretch leaves room for, of the same parity.
    let most = limits
        .map(|(_, _, length_m, shortening)| {
            let spacings = length_m / task.spacing.m();
            let by_leg = 2.0 * (spacings - SHORTEST_SPACINGS) / shortening + 1.0;
            let by_edge = if area_given {
                f64::INFINITY
            } else {
                2.0 * spacings / shortening
            };
            by_leg.min(by_edge)
        })
        .fold(f64::from(task.passes), f64::min)
        .floor()
        .max(0.0) as u32;
    let fewer = most.saturating_sub((most + task.passes) % 2);
    let bend = if vertices[i + 1].turn_deg.abs() > vertices[i].turn_deg.abs() {
        i + 1
    } else {
        i
    };
    let mut ways = Vec::new();
    if widest_m >= 10.0 {
        ways.push(format!(
            "give a `spacing` of at most {}",
            at_most(Length::from_m(widest_m))
        ));
    }
    if fewer >= 1 && fewer < task.passes {
        ways.push(format!("`passes = {fewer}`"));
    }
    ways.push(format!("leave place {} out", bend + 1));
    let problem = format!(
        "`line` turns by {:.0}° at place {}: {:.2} NM beside it, on the inner side, the leg from place {} \
         to place {} has no room",
        vertices[bend].turn_deg.abs(),
        bend + 1,
        outermost.max(edge) * task.spacing.nm(),
        i + 1,
        i + 2
    );
    Err((problem, ways.join(", or ")))
}

/// The ground of the strips: half a spacing beyond the outermost passes and past the ends.
fn ground(task: &TrackLineTask, vertices: &[Vertex]) -> Vec<Position> {
    let half_m = task.spacing.m() / 2.0;
    let reach_m = f64::from(task.passes) * half_m;
    let last = vertices.len() - 1;
    let side = |reach_m: f64| -> Vec<Position> {
        vertices
            .iter()
            .enumerate()
            .map(|(i, vertex)| {
                let past_m = match i {
                    0 => -half_m,
                    i if i == last => half_m,
                    _ => return vertex.beside(reach_m),
                };
                let along = vertex.across.turned(-90.0);
                let (at, course) = geodesic::travel(vertex.at, along, Length::from_m(past_m));
                geodesic::destination(at, course.turned(90.0), Length::from_m(reach_m))
            })
            .collect()
    };
    let mut ring = side(-reach_m);
    ring.extend(side(reach_m).into_iter().rev());
    ring
}

#[cfg(test)]
mod tests {
    use super::offsets;

    /// By hand: both sides alike, the first turn to the positive side, never more than one spacing from
    /// one pair to the next.
    #[test]
    fn passes_go_outwards() {
        assert_eq!(offsets(1), [0.0]);
        assert_eq!(offsets(2), [-0.5, 0.5]);
        assert_eq!(offsets(3), [0.0, 1.0, -1.0]);
        assert_eq!(offsets(6), [-0.5, 0.5, 1.5, -1.5, -2.5, 2.5]);
        assert_eq!(offsets(5), [0.0, 1.0, -1.0, -2.0, 2.0]);
    }
}
