//! Why a ring of corners is no area: which edges cross, and an order of its corners in which none do.

use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{Area as _, Coord, Line, LineString, Polygon, Validation};

/// Most corners for which another order is looked for. Chosen: that goes with the cube of their number,
/// and nobody lists more by hand.
const MOST_CORNERS: usize = 40;

/// What is wrong with a ring; corners are numbered from 1.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Fault {
    /// Two corners at the same place.
    Same(usize, usize),
    /// Two edges cross or touch.
    Crossing {
        /// Corners at the ends of the one.
        first: (usize, usize),
        /// Corners at the ends of the other.
        second: (usize, usize),
        /// The corners in an order in which no edges cross, if one was found.
        order: Option<Vec<usize>>,
    },
    /// All corners stand in one line.
    NoSize,
}

/// The first fault of a ring of corners in a plane, metres, not repeating the first; `None` if it goes
/// round an area.
pub(super) fn fault(ring: &[Coord<f64>]) -> Option<Fault> {
    if is_simple(ring) {
        return None;
    }
    let n = ring.len();
    let pairs = || (0..n).flat_map(|i| (i + 1..n).map(move |j| (i, j)));
    if let Some((i, j)) = pairs().find(|(i, j)| ring[*i] == ring[*j]) {
        return Some(Fault::Same(i + 1, j + 1));
    }
    let edge = |i: usize| Line::new(ring[i], ring[(i + 1) % n]);
    let crossing = pairs()
        .filter(|(i, j)| *j != i + 1 && (*i != 0 || *j != n - 1))
        .find(|(i, j)| line_intersection(edge(*i), edge(*j)).is_some());
    // Neighbouring edges meet at their corner; more than that is going back along oneself.
    let back = || {
        (0..n).map(|i| (i, (i + 1) % n)).find(|(i, j)| {
            matches!(
                line_intersection(edge(*i), edge(*j)),
                Some(LineIntersection::Collinear { .. })
            )
        })
    };
    let ends = |i: usize| (i + 1, (i + 1) % n + 1);
    let Some((i, j)) = crossing.or_else(back) else {
        return Some(Fault::NoSize);
    };
    Some(Fault::Crossing {
        first: ends(i),
        second: ends(j),
        order: simple_order(ring),
    })
}

fn is_simple(ring: &[Coord<f64>]) -> bool {
    let polygon = Polygon::new(LineString::from(ring.to_vec()), Vec::new());
    polygon.is_valid() && polygon.unsigned_area() >= 1.0
}

/// Two corners exchanged, or a part of the ring reversed, so that no edges cross: of those that do, the
/// way round that is shortest.
fn simple_order(ring: &[Coord<f64>]) -> Option<Vec<usize>> {
    let n = ring.len();
    if n > MOST_CORNERS {
        return None;
    }
    let pairs = (0..n).flat_map(|i| (i + 1..n).map(move |j| (i, j)));
    let orders = pairs.flat_map(|(i, j)| {
        let mut exchanged: Vec<usize> = (0..n).collect();
        exchanged.swap(i, j);
        let mut reversed: Vec<usize> = (0..n).collect();
        reversed[i..=j].reverse();
        [exchanged, reversed]
    });
    let placed = |order: &[usize]| -> Vec<Coord<f64>> { order.iter().map(|i| ring[*i]).collect() };
    let round_m = |ring: &[Coord<f64>]| -> f64 {
        let n = ring.len();
        let edges = (0..n).map(|i| ring[(i + 1) % n] - ring[i]);
        edges.map(|edge| edge.x.hypot(edge.y)).sum()
    };
    orders
        .map(|order| (round_m(&placed(&order)), order))
        .filter(|(_, order)| is_simple(&placed(order)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, order)| from_the_first(order))
}

/// The order as numbers from 1, beginning with corner 1 and going on to the lower of its neighbours.
fn from_the_first(order: Vec<usize>) -> Vec<usize> {
    let n = order.len();
    let start = order.iter().position(|i| *i == 0).unwrap_or(0);
    let (next, before) = (order[(start + 1) % n], order[(start + n - 1) % n]);
    let forwards = next < before;
    (0..n)
        .map(|k| {
            if forwards {
                (start + k) % n
            } else {
                (start + n - k) % n
            }
        })
        .map(|k| order[k] + 1)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(corners: &[(f64, f64)]) -> Vec<Coord<f64>> {
        corners.iter().map(|&(x, y)| Coord { x, y }).collect()
    }

    #[test]
    fn names_the_edges_and_another_order() {
        // A square whose second and third corner, or third and fourth, are exchanged.
        for (corners, first, second) in [
            (
                [(0.0, 0.0), (9.0, 9.0), (0.0, 9.0), (9.0, 0.0)],
                (1, 2),
                (3, 4),
            ),
            (
                [(0.0, 0.0), (0.0, 9.0), (9.0, 0.0), (9.0, 9.0)],
                (2, 3),
                (4, 1),
            ),
        ] {
            let Some(Fault::Crossing {
                first: a,
                second: b,
                order,
            }) = fault(&ring(&corners))
            else {
                unreachable!("they cross");
            };
            assert_eq!((a, b), (first, second));
            let order = order.unwrap();
            assert_eq!(order[0], 1);
            let mended: Vec<_> = order.iter().map(|i| corners[i - 1]).collect();
            assert_eq!(fault(&ring(&mended)), None, "{order:?}");
        }
    }

    #[test]
    fn other_faults_have_their_names() {
        for (corners, expected) in [
            (vec![(0.0, 0.0), (9.0, 0.0), (9.0, 9.0)], None),
            (
                vec![(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (9.0, 0.0)],
                Some(Fault::Same(2, 4)),
            ),
            // A corner given twice in a row is one corner.
            (vec![(0.0, 0.0), (9.0, 0.0), (9.0, 0.0), (0.0, 9.0)], None),
        ] {
            assert_eq!(fault(&ring(&corners)), expected, "{corners:?}");
        }
        let line = [(0.0, 0.0), (9.0, 0.0), (4.0, 0.0)];
        let found = fault(&ring(&line));
        let none = matches!(
            &found,
            Some(Fault::Crossing { order: None, .. } | Fault::NoSize)
        );
        assert!(none, "{found:?}");
    }
}
