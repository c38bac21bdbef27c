//! Lines and rings as GeoJSON and KML want them: longitude before latitude, in degrees, cut where
//! they cross the antimeridian.
//!
//! RFC 7946 asks for the cut (section 3.1.9) and for outer rings that run counter-clockwise (3.1.6)
//! and end where they began. Between two positions a map draws a straight line in longitude and
//! latitude; a leg is a geodesic, so [`along_leg`] puts positions in between where the two part.

use crate::geodesy::{Position, geodesic};
use crate::plan::Leg;
use crate::units::{Length, wrap_180};

/// Decimals of a degree: 1e-7° is 11 mm.
const DECIMALS: f64 = 1e7;
/// Farthest a drawn leg may run beside the leg. Chosen: less than a receiver's scatter.
const BESIDE_M: f64 = 10.0;
/// Most times a leg is halved for it, which only legs close to a pole need.
const MOST_HALVINGS: u32 = 8;

/// Twice the least part of a ring that is worth drawing, square degrees: rounding leaves less, and a
/// square metre at 60° of latitude is more.
const LEAST_DEG2: f64 = 1e-10;

/// Longitude and latitude, degrees.
pub(super) type LonLat = [f64; 2];

/// A place and a time.
pub(super) type Moment = (LonLat, f64);

/// A place, rounded to [`DECIMALS`].
pub(super) fn point(position: Position) -> LonLat {
    rounded(position.lon(), position.lat())
}

/// Places of a leg from its start to its end, close enough for straight lines between them.
pub(super) fn along_leg(leg: &Leg) -> Vec<Position> {
    let mut places = vec![leg.start];
    halve(
        leg,
        (0.0, leg.start),
        (1.0, leg.end),
        MOST_HALVINGS,
        &mut places,
    );
    places
}

fn halve(
    leg: &Leg,
    from: (f64, Position),
    to: (f64, Position),
    left: u32,
    places: &mut Vec<Position>,
) {
    let share = f64::midpoint(from.0, to.0);
    let on_leg = leg.at(Length::from_m(share * leg.length.m()));
    let lon = from.1.lon() + wrap_180(to.1.lon() - from.1.lon()) / 2.0;
    let drawn = Position::new(f64::midpoint(from.1.lat(), to.1.lat()), lon);
    let beside = drawn.map_or(0.0, |drawn| geodesic::distance(drawn, on_leg).m());
    if left > 0 && beside > BESIDE_M {
        halve(leg, from, (share, on_leg), left - 1, places);
        halve(leg, (share, on_leg), to, left - 1, places);
    } else {
        places.push(to.1);
    }
}

/// A line in one piece, or in two and more where it crosses the antimeridian.
pub(super) fn line_parts(positions: &[Position]) -> Vec<Vec<LonLat>> {
    let timeless: Vec<(Position, f64)> = positions.iter().map(|at| (*at, 0.0)).collect();
    let parts = timed_line_parts(&timeless);
    let places = |part: Vec<Moment>| part.into_iter().map(|(at, _)| at).collect();
    parts.into_iter().map(places).collect()
}

/// As [`line_parts`], with the time at each position, in any unit.
pub(super) fn timed_line_parts(moments: &[(Position, f64)]) -> Vec<Vec<Moment>> {
    let positions: Vec<Position> = moments.iter().map(|(at, _)| *at).collect();
    let flat: Vec<((f64, f64), f64)> = unwrapped(&positions)
        .into_iter()
        .zip(moments.iter().map(|(_, time)| *time))
        .collect();
    let mut parts: Vec<(i32, Vec<Moment>)> = Vec::new();
    for pair in flat.windows(2) {
        let ((from, left), (to, reached)) = (pair[0], pair[1]);
        // Positions have longitudes from -180° to below 180°, so a step crosses one meridian at most.
        let (here, there) = (world(from.0), world(to.0));
        if parts.last().is_none_or(|part| part.0 != here) {
            parts.push((here, vec![(in_world(from, here), left)]));
        }
        if here == there {
            push(&mut parts, (in_world(to, here), reached));
            continue;
        }
        let edge = 360.0 * f64::from(here.max(there)) - 180.0;
        let share = (edge - from.0) / (to.0 - from.0);
        let at_edge = (edge, from.1 + share * (to.1 - from.1));
        let time = left + share * (reached - left);
        push(&mut parts, (in_world(at_edge, here), time));
        parts.push((there, vec![(in_world(at_edge, there), time)]));
        push(&mut parts, (in_world(to, there), reached));
    }
    // A line that only touches the antimeridian leaves a part without length there.
    parts.retain(|(_, part)| {
        part.iter()
            .any(|(at, _)| Some(at) != part.first().map(|p| &p.0))
    });
    parts.into_iter().map(|(_, part)| part).collect()
}

fn push(parts: &mut [(i32, Vec<Moment>)], moment: Moment) {
    if let Some((_, part)) = parts.last_mut() {
        part.push(moment);
    }
}

/// A ring in one piece, or in two where it crosses the antimeridian; counter-clockwise, each closed
/// on its first position. One that goes round a pole is led along it.
pub(super) fn ring_parts(ring: &[Position]) -> Vec<Vec<LonLat>> {
    let round: Vec<Position> = ring.iter().chain(ring.first()).copied().collect();
    let mut flat = unwrapped(&round);
    if let (Some(first), Some(last)) = (flat.first().copied(), flat.last().copied()) {
        if (last.0 - first.0).abs() > 180.0 {
            let pole = 90.0_f64.copysign(first.1);
            flat.extend([(last.0, pole), (first.0, pole)]);
        } else {
            flat.pop();
        }
    }
    if doubled_area(&flat) < 0.0 {
        flat.reverse();
    }
    (-2..=2)
        .filter_map(|world| {
            let west = 360.0 * f64::from(world) - 180.0;
            let kept = clipped(&flat, |lon| lon - west, west);
            let kept = clipped(&kept, |lon| west + 360.0 - lon, west + 360.0);
            let part: Vec<LonLat> = kept.iter().map(|p| in_world(*p, world)).collect();
            // A ring that only touches the antimeridian has no size beyond it.
            (doubled_area(&kept) > LEAST_DEG2).then(|| closed(part))
        })
        .collect()
}

/// Longitude and latitude without a jump of the longitude from one position to the next.
fn unwrapped(positions: &[Position]) -> Vec<(f64, f64)> {
    let mut flat: Vec<(f64, f64)> = Vec::with_capacity(positions.len());
    for position in positions {
        let lon = flat.last().map_or(position.lon(), |last| {
            // Adding a whole number of turns keeps the last digit.
            let turns = ((last.0 - position.lon()) / 360.0).round();
            position.lon() + 360.0 * turns
        });
        flat.push((lon, position.lat()));
    }
    flat
}

/// How many times round the earth a longitude lies from those between -180° and 180°.
fn world(lon: f64) -> i32 {
    ((lon + 180.0) / 360.0).floor() as i32
}

/// A point with its longitude as written in its part; one on the antimeridian keeps the part's side.
fn in_world(point: (f64, f64), world: i32) -> LonLat {
    rounded(point.0 - 360.0 * f64::from(world), point.1)
}

fn rounded(lon: f64, lat: f64) -> LonLat {
    // Adding zero turns -0 into 0.
    [lon, lat].map(|deg| (deg * DECIMALS).round() / DECIMALS + 0.0)
}

fn closed(mut part: Vec<LonLat>) -> Vec<LonLat> {
    part.extend(part.first().copied());
    part
}

/// The part of a ring where `inside(longitude)` is not negative (Sutherland and Hodgman's rule for
/// one edge).
fn clipped(ring: &[(f64, f64)], inside: impl Fn(f64) -> f64, limit: f64) -> Vec<(f64, f64)> {
    let mut kept = Vec::new();
    for (i, p) in ring.iter().enumerate() {
        let q = ring[(i + 1) % ring.len()];
        let (a, b) = (inside(p.0), inside(q.0));
        if a >= 0.0 {
            kept.push(*p);
        }
        if (a > 0.0 && b < 0.0) || (a < 0.0 && b > 0.0) {
            let t = a / (a - b);
            kept.push((limit, p.1 + t * (q.1 - p.1)));
        }
    }
    kept
}

/// Twice the signed area: positive when counter-clockwise.
fn doubled_area(ring: &[(f64, f64)]) -> f64 {
    ring.iter()
        .zip(ring.iter().cycle().skip(1))
        .map(|(a, b)| a.0 * b.1 - b.0 * a.1)
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::LegKind;

    fn at(lat: f64, lon: f64) -> Position {
        Position::new(lat, lon).unwrap()
    }

    /// RFC 7946 section 3.1.6: counter-clockwise, first position repeated.
    #[test]
    fn rings_are_wound_and_closed() {
        let clockwise = [at(0.0, 0.0), at(1.0, 0.0), at(1.0, 1.0), at(0.0, 1.0)];
        assert_eq!(
            ring_parts(&clockwise),
            [[[1.0, 0.0], [1.0, 1.0], [0.0, 1.0], [0.0, 0.0], [1.0, 0.0]]]
        );
    }

    /// RFC 7946 section 3.1.9: the example's area from 170° E to 170° W between 40° and 45° N is cut
    /// at the antimeridian, and the example's line from 170° E to 170° W likewise.
    #[test]
    fn lines_and_rings_are_cut_at_the_antimeridian() {
        let ring = [
            at(40.0, 170.0),
            at(40.0, -170.0),
            at(45.0, -170.0),
            at(45.0, 170.0),
        ];
        let mut parts = ring_parts(&ring);
        parts
            .iter_mut()
            .for_each(|part| part.sort_by(|a, b| a.partial_cmp(b).unwrap()));
        parts.iter_mut().for_each(Vec::dedup);
        assert_eq!(
            parts,
            [
                [[170.0, 40.0], [170.0, 45.0], [180.0, 40.0], [180.0, 45.0]],
                [
                    [-180.0, 40.0],
                    [-180.0, 45.0],
                    [-170.0, 40.0],
                    [-170.0, 45.0]
                ],
            ]
        );
        assert_eq!(
            line_parts(&[at(45.0, 170.0), at(45.0, -170.0)]),
            [
                [[170.0, 45.0], [180.0, 45.0]],
                [[-180.0, 45.0], [-170.0, 45.0]]
            ]
        );
        // The other way, out and back.
        assert_eq!(
            line_parts(&[at(1.0, -179.0), at(2.0, 179.0), at(3.0, -179.0)]),
            [
                vec![[-179.0, 1.0], [-180.0, 1.5]],
                vec![[180.0, 1.5], [179.0, 2.0], [180.0, 2.5]],
                vec![[-180.0, 2.5], [-179.0, 3.0]],
            ]
        );
    }

    #[test]
    fn what_only_touches_the_antimeridian_stays_whole() {
        let ring = [
            at(0.0, 179.0),
            at(0.0, 180.0),
            at(1.0, 180.0),
            at(1.0, 179.0),
        ];
        let parts = ring_parts(&ring);
        assert_eq!(parts.len(), 1, "{parts:?}");
        assert!(parts[0].iter().all(|p| p[0] >= 179.0), "{parts:?}");
        for line in [
            [at(0.0, 179.0), at(1.0, 180.0)],
            [at(0.0, 180.0), at(1.0, 179.0)],
            [at(0.0, 180.0), at(1.0, -179.0)],
            [at(0.0, -179.0), at(1.0, 180.0)],
        ] {
            let parts = line_parts(&line);
            assert_eq!(parts.len(), 1, "{line:?}: {parts:?}");
            assert!((parts[0][0][0] - parts[0][1][0]).abs() == 1.0, "{parts:?}");
        }
        let along = line_parts(&[at(0.0, 180.0), at(1.0, 180.0)]);
        assert_eq!(along, [[[-180.0, 0.0], [-180.0, 1.0]]]);
    }

    /// By hand: a ring of latitude 89° covers all longitudes from there to the pole.
    #[test]
    fn a_ring_round_a_pole_is_led_along_it() {
        for pole in [90.0_f64, -90.0] {
            let lat = 89.0_f64.copysign(pole);
            let ring: Vec<Position> = (0..8)
                .map(|i| at(lat, 20.0 + 45.0 * f64::from(i)))
                .collect();
            let parts = ring_parts(&ring);
            let area: f64 = parts
                .iter()
                .map(|part| {
                    let flat: Vec<(f64, f64)> = part.iter().map(|p| (p[0], p[1])).collect();
                    doubled_area(&flat) / 2.0
                })
                .sum();
            assert!((area - 360.0).abs() < 1e-6, "{area}: {parts:?}");
            assert!(parts.iter().flatten().all(|p| p[0].abs() <= 180.0));
        }
    }

    /// The geodesic by geographiclib against the straight line of a map, in the middle of each piece.
    #[test]
    fn a_drawn_leg_stays_beside_its_geodesic() {
        for (lat, lon, course, nm) in [
            (47.0, 12.0, 90.0, 7.0),
            (47.0, 179.9, 80.0, 40.0),
            (80.0, 20.0, 270.0, 30.0),
            (88.0, 0.0, 90.0, 30.0),
        ] {
            let start = at(lat, lon);
            let course = crate::units::Bearing::from_deg(course);
            let end = geodesic::destination(start, course, Length::from_nm(nm));
            let leg = Leg::new("1", LegKind::Search, start, end);
            let places = along_leg(&leg);
            assert_eq!((places[0], *places.last().unwrap()), (start, end));
            for pair in places.windows(2) {
                let lon = pair[0].lon() + wrap_180(pair[1].lon() - pair[0].lon()) / 2.0;
                let drawn = at((pair[0].lat() + pair[1].lat()) / 2.0, lon);
                let off = leg.frame().locate(drawn).cross_m.abs();
                assert!(off <= BESIDE_M, "{off} m at {lat}");
            }
        }
        let short = Leg::new("1", LegKind::Search, at(47.0, 12.0), at(47.1, 12.0));
        assert_eq!(along_leg(&short).len(), 2);
    }
}
