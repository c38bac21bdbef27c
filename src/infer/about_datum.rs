//! What the tasking of an expanding square or a sector search needs, from the legs flown, each value with its
//! interval.

use super::figure::{Figure, Placed, fitted};
use super::handled::Handled;
use super::runs::Run;
use super::shape::Kind;
use super::value::{Estimate, Inferred, Layout};
use crate::geodesy::{LocalFrame, geodesic};
use crate::plan::PatternKind;
use crate::statistics::{f_two, student_95};
use crate::tasking::Side;
use crate::units::Length;

/// Standard deviations of what is the same on every leg and so shows in no difference between them, as for
/// parallel legs.
const COMMON_M: f64 = 3.0;
const COMMON_DEG: f64 = 0.05;

/// The figure as laid.
pub(super) fn laid(
    figure: &Figure,
    runs: &[Run],
    plane: &LocalFrame,
    handled: Handled,
    others: Vec<String>,
) -> Inferred {
    let placed = figure.placed;
    let shape = &figure.shape;
    let (errors, freedom) = jackknife(figure, runs);
    let t = student_95(freedom);
    let size_m = placed.size_m;
    let first = shape.legs[0];
    let from = plane.inverse(placed.place(first.start));
    let to = plane.inverse(placed.place(first.start + first.along * first.length));
    let course = geodesic::between(from, to).course_at_start;
    // The 95 % ellipse of the datum; its longer half-axis.
    let [xx, xy, yy] = errors.datum;
    let common = COMMON_M * COMMON_M;
    let largest = f64::midpoint(xx, yy) + f64::midpoint(xx, -yy).hypot(xy) + common;
    let radius_m = (2.0 * f_two(0.05, freedom) * largest).sqrt();
    let (pattern, legs, layout) = match shape.kind {
        Kind::Square => (
            PatternKind::ExpandingSquare,
            figure.legs,
            Layout::Square {
                closed: is_closed(figure),
            },
        ),
        Kind::Sector {
            sectors,
            second_pass,
        } => (
            PatternKind::Sector,
            shape.legs.len(),
            Layout::Sector {
                sectors,
                second_pass,
            },
        ),
    };
    let square: f64 = figure
        .on
        .iter()
        .map(|on| (on.right() * size_m).powi(2))
        .sum();
    let order: Vec<usize> = figure.on.iter().map(|on| on.leg).collect();
    Inferred {
        pattern,
        first_course_deg: Estimate {
            value: course.deg(),
            within: t * errors.course_deg.hypot(COMMON_DEG),
        },
        turn: if shape.left { Side::Left } else { Side::Right },
        size: Estimate {
            value: Length::from_m(size_m),
            within: Length::from_m(t * errors.size_m),
        },
        legs: legs as u32,
        not_flown: (0..legs)
            .filter(|leg| !order.contains(leg))
            .map(|leg| leg as u32 + 1)
            .collect(),
        start: plane.inverse(placed.datum),
        start_along_within: Length::from_m(radius_m),
        start_across_within: Length::from_m(radius_m),
        leg_length: None,
        leg_length_scatter: None,
        scatter: Length::from_m((square / freedom as f64).sqrt()),
        in_order: order.windows(2).all(|pair| pair[1] >= pair[0]),
        layout,
        handled,
        others,
    }
}

/// Variances of the datum (east, both, north), and standard deviations of size and course.
struct Errors {
    datum: [f64; 3],
    size_m: f64,
    course_deg: f64,
}

/// Legs left out in turn (J. W. Tukey, Ann. Math. Statist. 29 (1958) 614), and the degrees of freedom left.
fn jackknife(figure: &Figure, runs: &[Run]) -> (Errors, usize) {
    let mut legs: Vec<usize> = figure.on.iter().map(|on| on.leg).collect();
    legs.sort_unstable();
    legs.dedup();
    let best = figure.placed;
    let without: Vec<Placed> = legs
        .iter()
        .filter_map(|leg| fitted(runs, figure, Some(*leg)))
        .collect();
    let n = without.len() as f64;
    let sum = |of: &dyn Fn(&Placed) -> f64| (n - 1.0) / n * without.iter().map(of).sum::<f64>();
    let off = |placed: &Placed| placed.datum - best.datum;
    let errors = Errors {
        datum: [
            sum(&|p| off(p).x.powi(2)),
            sum(&|p| off(p).x * off(p).y),
            sum(&|p| off(p).y.powi(2)),
        ],
        size_m: sum(&|p| (p.size_m - best.size_m).powi(2)).sqrt(),
        course_deg: sum(&|p| (p.course_rad - best.course_rad).powi(2))
            .sqrt()
            .to_degrees(),
    };
    (errors, legs.len().saturating_sub(2).max(1))
}

/// Whether the last leg ends where a square is filled, a spacing before its full length.
fn is_closed(figure: &Figure) -> bool {
    let Some(last) = figure.on.iter().max_by_key(|on| on.leg) else {
        return false;
    };
    // Legs 1, 3, 5, … are 1, 2, 3, … spacings long: the last of a filled square is one of them.
    let length = figure.shape.legs[last.leg].length;
    last.leg % 2 == 0 && last.leg >= 2 && last.to < length - 0.5
}
