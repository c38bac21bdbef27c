//! Parallel sweep (PS) and creeping line (CS), one aircraft.
//!
//! Legs are parallel, one spacing apart, flown to and fro; the commence search point lies half a
//! spacing inside the area from the two sides that form its corner, and legs end half a spacing
//! inside it (IAMSAR Manual Vol II ch. 5; JP 3-50 Vol I, 1991, paras on parallel patterns, p. 176
//! and p. 180). The two differ in which side of the area the legs are parallel to: the longer one in a
//! parallel sweep, the shorter one in a creeping line (JP 3-50, p. 180 and p. 183).

use super::{Refusal, with_cross_legs};
use crate::geodesy::{LocalFrame, Position, geodesic};
use crate::plan::axes::{Axes, crossings, extent};
use crate::plan::{Area, Leg};
use crate::tasking::quantity::at_most;
use crate::tasking::{Fit, SweepTask};
use crate::units::{Bearing, Length};

/// By how much one extent of an area must exceed the other to be the longer one. Chosen: less is a
/// square.
const LONGER_BY: f64 = 1.01;

/// The legs of a sweep, the second set after the first.
pub(super) struct Sweep {
    pub(super) legs: Vec<Leg>,
    /// Search legs of the first set.
    pub(super) first_set: usize,
    /// How they came out.
    pub(super) notes: Vec<String>,
}

/// A sweep whose first leg runs on true course `course`.
pub(super) fn sweep(
    task: &SweepTask,
    course: Bearing,
    area: Option<(&Area, &LocalFrame)>,
) -> Result<Sweep, Refusal> {
    match (task.start, task.leg_length, task.legs, area) {
        (Some(start), Some(length), Some(count), _) => Ok(Sweep {
            legs: with_cross_legs(&as_tasked(task, course, start, length, count)),
            first_set: count as usize,
            notes: Vec::new(),
        }),
        (_, _, _, Some((area, frame))) => from_area(task, course, area, frame),
        _ => Err((
            "the pattern is incomplete".into(),
            "give `start`, `leg_length` and `legs`, or an [area]".into(),
        )),
    }
}

/// A note, if the legs of a creeping line run along the longer side of the area.
pub(super) fn along_the_longer_side(course: Bearing, area: &Area) -> Option<String> {
    let axes = Axes::new(course, 1.0);
    let ring = || area.polygon().exterior().coords().map(|xy| axes.to_uv(*xy));
    let (low, high) = extent(ring().map(|uv| uv.0));
    let (left, right) = extent(ring().map(|uv| uv.1));
    let (along, across) = (
        Length::from_m(high - low).nm(),
        Length::from_m(right - left).nm(),
    );
    (along > LONGER_BY * across).then(|| {
        format!(
            "the area measures {along:.2} NM along the legs and {across:.2} NM across: the legs of a \
             creeping line run along the shorter side"
        )
    })
}

/// Everything given: the starts of the legs stand one spacing apart on the geodesic square to the
/// first leg, and each leg leaves it square, so that errors do not add up from leg to leg. On 50 NM
/// legs the spacing at the far end is then 1 part in 10,000 less than at the near end.
fn as_tasked(
    task: &SweepTask,
    course: Bearing,
    start: Position,
    length: Length,
    count: u32,
) -> Vec<(Position, Position)> {
    let to_side = task.turn.sign() * 90.0;
    let lines: Vec<f64> = (0..count).map(f64::from).collect();
    let second = if task.interleave {
        midway(&lines)
    } else {
        Vec::new()
    };
    lines
        .into_iter()
        .chain(second)
        .enumerate()
        .map(|(i, line)| {
            let offset = Length::from_m(task.spacing.m() * line);
            let (near, baseline) = geodesic::travel(start, course.turned(to_side), offset);
            let far = geodesic::destination(near, baseline.turned(-to_side), length);
            if i % 2 == 0 { (near, far) } else { (far, near) }
        })
        .collect()
}

/// Lines midway between neighbouring ones, from the last pair back to the first.
fn midway(lines: &[f64]) -> Vec<f64> {
    let pairs = lines.windows(2).rev();
    pairs.map(|pair| (pair[0] + pair[1]) / 2.0).collect()
}

/// Worked out from the area: `u` runs along the first leg, `v` square to it on the side of the turn.
fn from_area(
    task: &SweepTask,
    course: Bearing,
    area: &Area,
    frame: &LocalFrame,
) -> Result<Sweep, Refusal> {
    let spacing = task.spacing.m();
    let inset = task.end_inset.map_or(spacing / 2.0, Length::m);
    let axes = Axes::new(course, task.turn.sign());
    let ring: Vec<(f64, f64)> = area
        .polygon()
        .exterior()
        .coords()
        .map(|xy| axes.to_uv(*xy))
        .collect();
    let (v_min, v_max) = extent(ring.iter().map(|uv| uv.1));
    let start = task.start.map(|at| axes.to_uv(frame.forward(at)));
    let first_v = start.map_or(v_min + spacing / 2.0, |uv| uv.1);
    let width = v_max - (first_v - spacing / 2.0);
    let count = match task.legs {
        Some(count) => f64::from(count),
        None => match task.fit {
            Fit::Nearest => (width / spacing).round(),
            // A sliver of rounding must not cost a whole leg.
            Fit::Cover => (width / spacing - 1e-6).ceil(),
        },
    };
    if count < 1.0 {
        return Err((
            format!(
                "a spacing of {:.2} NM is more than the area is wide ({:.2} NM across the legs)",
                task.spacing.nm(),
                Length::from_m(width.max(0.0)).nm()
            ),
            format!(
                "give a `spacing` of at most {:.2} NM, another `first_course` or `turn`, or `legs = 1`",
                Length::from_m(width.max(0.0)).nm()
            ),
        ));
    }
    if count > 2000.0 {
        return Err((
            format!("{count:.0} legs would be needed to fill the area"),
            "give a wider `spacing` or a smaller [area]".into(),
        ));
    }
    let cover = task.legs.is_none() && task.fit == Fit::Cover;
    let lines: Vec<f64> = (0..count as u32)
        .map(|i| {
            let nominal = first_v + spacing * f64::from(i);
            // With fit = "cover" the last leg is drawn in so as to stay half a spacing inside.
            if cover {
                nominal.min(v_max - spacing / 2.0)
            } else {
                nominal
            }
        })
        .collect();
    let stretch = |v: f64| -> Option<(f64, f64)> {
        match (task.leg_length, start) {
            (Some(length), Some((u, _))) => Some((u, u + length.m())),
            (Some(length), None) => {
                let (low, _) = extent(ring.iter().map(|uv| uv.0));
                Some((low + inset, low + inset + length.m()))
            }
            (None, _) => {
                let crossed = crossings(&ring, v);
                let (low, high) = extent(crossed.iter().copied());
                (!crossed.is_empty()).then_some((low + inset, high - inset))
            }
        }
    };
    let mut notes = Vec::new();
    let mut search = Vec::new();
    let mut longest_m = f64::NEG_INFINITY;
    let mut lay = |v: f64, name: &str, notes: &mut Vec<String>| -> bool {
        let Some((u_min, u_max)) = stretch(v) else {
            notes.push(format!("{name} would lie outside the area and is left out"));
            return false;
        };
        longest_m = longest_m.max(u_max - u_min);
        if u_max - u_min < spacing {
            notes.push(format!(
                "{name}: the area is too short for a leg of one spacing: left out"
            ));
            return false;
        }
        let near = frame.inverse(axes.to_xy(u_min, v));
        let far = frame.inverse(axes.to_xy(u_max, v));
        search.push(if search.len() % 2 == 0 {
            (near, far)
        } else {
            (far, near)
        });
        true
    };
    let mut kept = Vec::new();
    for (i, v) in lines.iter().enumerate() {
        if lay(*v, &format!("leg {}", i + 1), &mut notes) {
            kept.push(*v);
        }
    }
    let first_set = kept.len();
    if task.interleave {
        if first_set < 2 {
            return Err((
                "`interleave`: there is nothing midway between the legs of a set of one".into(),
                "give a smaller `spacing`, or leave `interleave` out".into(),
            ));
        }
        for (i, v) in midway(&kept).into_iter().enumerate() {
            let before = first_set - i;
            lay(
                v,
                &format!("the leg between legs {before} and {}", before - 1),
                &mut notes,
            );
        }
    }
    if search.is_empty() {
        return Err((
            format!(
                "no leg of at least one spacing ({:.2} NM) fits into the area: the longest would be {:.2} NM",
                task.spacing.nm(),
                Length::from_m(longest_m.max(0.0)).nm()
            ),
            too_short(task, longest_m, inset),
        ));
    }
    let reached = first_v + spacing * (count - 0.5);
    let left_over = v_max - reached;
    if task.legs.is_none() && task.fit == Fit::Nearest && left_over > 0.01 * spacing {
        notes.push(format!(
            "{} legs at {:.2} NM leave {:.2} NM along the far edge outside the strips; \
             fit = \"cover\" adds a leg",
            first_set,
            task.spacing.nm(),
            Length::from_m(left_over).nm()
        ));
    }
    Ok(Sweep {
        legs: with_cross_legs(&search),
        first_set,
        notes,
    })
}

/// What would do where no leg is as long as the spacing.
fn too_short(task: &SweepTask, longest_m: f64, inset: f64) -> String {
    // By default the inset is half the spacing at each end, and shrinks with it.
    let room_m = longest_m + 2.0 * inset;
    let widest_m = if task.end_inset.is_some() || task.leg_length.is_some() {
        longest_m
    } else {
        room_m / 2.0
    };
    let narrower = if widest_m >= 10.0 {
        format!(
            "a `spacing` of at most {}",
            at_most(Length::from_m(widest_m))
        )
    } else {
        "a smaller `spacing` or `end_inset`".to_owned()
    };
    format!("give {narrower}, or another `first_course`")
}
