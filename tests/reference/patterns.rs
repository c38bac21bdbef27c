//! Lay-out of the creeping line, the expanding square and the sector search.

use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};
use overflown::geodesy::{Position, geodesic};
use overflown::plan::{self, LegKind, PatternKind, Plan};
use overflown::tasking;
use std::path::Path;

const METRES_PER_NM: f64 = 1852.0;
const DATUMS: [(f64, f64); 4] = [(47.1, 12.5), (-0.1, -30.0), (-54.0, 179.95), (71.0, 25.0)];

fn lay_out(area: &str, pattern: &str) -> Plan {
    let text = format!(
        "sortie = \"Plover 2\"\ndate = 2026-06-14\n{area}\n[pattern]\n{pattern}\n\
         [flight]\nground_speed = \"90 kt\"\n[detection]\nsweep_width = \"0.5 NM\"\n"
    );
    let path = Path::new("tasking.toml");
    let tasking = tasking::parse(&text, path).unwrap_or_else(|e| panic!("{e}: {}", e.hint));
    plan::lay_out(&tasking, path).unwrap_or_else(|e| panic!("{e}: {}", e.hint))
}

/// The place at a distance in a direction from the datum, by geographiclib itself.
fn from_datum((lat, lon): (f64, f64), course_deg: f64, nm: f64) -> (f64, f64) {
    Geodesic::wgs84().direct(lat, lon, course_deg, nm * METRES_PER_NM)
}

fn apart_m(a: (f64, f64), b: Position) -> f64 {
    length_m(a, (b.lat(), b.lon()))
}

fn length_m(a: (f64, f64), b: (f64, f64)) -> f64 {
    Geodesic::wgs84().inverse(a.0, a.1, b.0, b.1)
}

/// Legs join end to end.
fn joined(plan: &Plan) {
    for pair in plan.legs.windows(2) {
        let gap_m = apart_m((pair[0].end.lat(), pair[0].end.lon()), pair[1].start);
        assert!(
            gap_m < 1e-6,
            "{} to {}: {gap_m} m",
            pair[0].label,
            pair[1].label
        );
    }
}

/// A rectangle 10 NM from west to east and 5 NM from south to north on the equator, where a minute
/// of longitude and a minute of latitude have these lengths on WGS 84 (by geographiclib).
fn rectangle() -> String {
    let minute = 1.0 / 60.0;
    let north = 5.0 * METRES_PER_NM / length_m((0.0, 0.0), (minute, 0.0)) * minute;
    let east = 10.0 * METRES_PER_NM / length_m((0.0, 0.0), (0.0, minute)) * minute;
    format!(
        "[area]\nsouth = {}\nnorth = {}\nwest = 20.0\neast = {}",
        -north / 2.0,
        north / 2.0,
        20.0 + east
    )
}

/// A creeping line has its legs along the short side (JP 3-50 Vol I, 1991, p. 183) and begins half a
/// track spacing inside the corner (*Mission Aircrew Reference Text, Volume II*, p. 143): ten legs of
/// 4 NM and nine cross-legs of 1 NM in 10 by 5 NM at one mile, together 49 NM = A/S - S as in a
/// parallel sweep (closed form, by hand).
#[test]
fn a_creeping_line_and_a_parallel_sweep_are_as_long() {
    let rest = "turn = \"left\"\nspacing = \"1 NM\"";
    let creeping = lay_out(
        &rectangle(),
        &format!("kind = \"creeping line\"\nfirst_course = \"000 T\"\n{rest}"),
    );
    let sweep = lay_out(
        &rectangle(),
        &format!("kind = \"parallel sweep\"\nfirst_course = \"090 T\"\n{rest}"),
    );
    assert_eq!(creeping.pattern, PatternKind::CreepingLine);
    assert_eq!(creeping.pattern.name(), "creeping line (CS)");
    for (plan, count, length) in [(&creeping, 10, 4.0), (&sweep, 5, 9.0)] {
        assert!(plan.notes.is_empty(), "{:?}", plan.notes);
        assert_eq!(plan.search_legs().count(), count);
        assert!((plan.total_length().nm() - 49.0).abs() < 0.005);
        for leg in &plan.legs {
            let nominal = if leg.kind == LegKind::Search {
                length
            } else {
                1.0
            };
            assert!((leg.length.nm() - nominal).abs() < 0.002, "{leg:?}");
        }
        joined(plan);
    }
    // Growing to the left of north it begins in the south-eastern corner, half a mile inside.
    let corner = plan_corner(&creeping);
    let inside = from_datum(corner, 270.0, 0.5);
    let inside = from_datum(inside, 0.0, 0.5);
    let off_m = apart_m(inside, creeping.legs[0].start);
    assert!(off_m < 2.0, "{off_m} m");
}

fn plan_corner(plan: &Plan) -> (f64, f64) {
    let corner = plan
        .area
        .corners()
        .iter()
        .min_by(|a, b| (a.lat() - a.lon()).total_cmp(&(b.lat() - b.lon())))
        .unwrap();
    (corner.lat(), corner.lon())
}

/// Legs along the long side are laid out all the same, with a note.
#[test]
fn a_creeping_line_along_the_long_side_is_noted() {
    let plan = lay_out(
        &rectangle(),
        "kind = \"creeping line\"\nfirst_course = \"090 T\"\nturn = \"left\"\nspacing = \"1 NM\"",
    );
    assert_eq!(plan.search_legs().count(), 5);
    assert_eq!(plan.notes.len(), 1, "{:?}", plan.notes);
    assert!(
        plan.notes[0].contains("10.00 NM along the legs and 5.00 NM across"),
        "{:?}",
        plan.notes
    );
}

/// Ends of the first ten legs of an expanding square at one mile, first leg along y and turning
/// towards x: "lengths of the first two legs are equal to the track spacing and the lengths of every
/// succeeding pair of legs are increased by another track spacing" (IAMSAR Manual Vol II ch. 5), worked
/// out by hand.
const SQUARE: [(f64, f64); 10] = [
    (0.0, 1.0),
    (1.0, 1.0),
    (1.0, -1.0),
    (-1.0, -1.0),
    (-1.0, 2.0),
    (2.0, 2.0),
    (2.0, -2.0),
    (-2.0, -2.0),
    (-2.0, 3.0),
    (3.0, 3.0),
];

/// The commence search point is always the datum (IAMSAR Manual Vol II ch. 5; JP 3-50 Vol I, 1991,
/// p. 185); corners stand where the table has them, by distance and direction from the datum.
#[test]
fn corners_of_an_expanding_square() {
    for datum in DATUMS {
        for (first_deg, turn, sign) in [(0.0, "right", 1.0), (137.0, "left", -1.0)] {
            for spacing in [0.5, 2.0] {
                let plan = lay_out(
                    "",
                    &format!(
                        "kind = \"expanding square\"\ndatum = [{}, {}]\nfirst_course = \"{first_deg} T\"\n\
                         turn = \"{turn}\"\nspacing = \"{spacing} NM\"\nlegs = 10",
                        datum.0, datum.1
                    ),
                );
                assert_eq!(plan.pattern.name(), "expanding square (SS)");
                assert_eq!(plan.search_legs().count(), 10);
                assert_eq!(plan.legs.len(), 10, "all legs are search legs");
                joined(&plan);
                assert!(apart_m(datum, plan.legs[0].start) < 1e-6);
                for (leg, (x, y)) in plan.legs.iter().zip(SQUARE) {
                    let course_deg = first_deg + sign * f64::to_degrees(x.atan2(y));
                    let expected = from_datum(datum, course_deg, spacing * x.hypot(y));
                    let off_m = apart_m(expected, leg.end);
                    assert!(off_m < 1e-6, "leg {}: {off_m} m", leg.label);
                }
            }
        }
    }
}

/// n = 2m legs are m(m+1) S long together and n = 2m+1 legs (m+1)² S (sums of 1, 1, 2, 2, 3, 3, …, by
/// hand), and no leg is off its own length by more than the plane takes from the ellipsoid.
#[test]
fn length_of_an_expanding_square() {
    for datum in DATUMS {
        for count in [1u32, 2, 3, 4, 9, 10, 15] {
            let m = f64::from(count / 2);
            let total = if count % 2 == 0 {
                m * (m + 1.0)
            } else {
                (m + 1.0).powi(2)
            };
            let plan = lay_out(
                "",
                &format!(
                    "kind = \"expanding square\"\ndatum = [{}, {}]\nfirst_course = \"020 T\"\n\
                     turn = \"right\"\nspacing = \"1 NM\"\nlegs = {count}",
                    datum.0, datum.1
                ),
            );
            assert!((plan.total_length().nm() / total - 1.0).abs() < 1e-5);
            for (i, leg) in plan.legs.iter().enumerate() {
                let nominal = (i / 2 + 1) as f64;
                assert!((leg.length.nm() / nominal - 1.0).abs() < 1e-5, "{leg:?}");
            }
            // Each mile of way uncovers a square mile beyond the first.
            let ground_nm2 = plan.area.square_metres() / METRES_PER_NM.powi(2);
            assert!(
                (ground_nm2 / (total + 1.0) - 1.0).abs() < 2e-5,
                "{ground_nm2}"
            );
        }
    }
}

/// A square with sides of N spacings takes 2N - 1 legs, the last of N - 1 spacings, and
/// (N² - 1) S = A/S - S in all, as any pattern that keeps half a spacing inside (by hand).
#[test]
fn an_expanding_square_fills_a_square() {
    for (size, n, notes) in [
        ("2 NM", 2u32, 0),
        ("6 NM", 6, 0),
        ("7 NM", 7, 0),
        ("6.4 NM", 7, 1),
    ] {
        let plan = lay_out(
            "",
            &format!(
                "kind = \"expanding square\"\ndatum = [47.1, 12.5]\nfirst_course = \"250 T\"\n\
                 turn = \"left\"\nspacing = \"1 NM\"\nsize = \"{size}\""
            ),
        );
        let side = f64::from(n);
        assert_eq!(plan.legs.len(), 2 * n as usize - 1);
        assert!((plan.legs.last().unwrap().length.nm() - (side - 1.0)).abs() < 1e-4);
        assert!((plan.total_length().nm() - (side * side - 1.0)).abs() < 1e-3);
        assert_eq!(plan.area.corners().len(), 4);
        let ground_nm2 = plan.area.square_metres() / METRES_PER_NM.powi(2);
        assert!(
            (ground_nm2 / (side * side) - 1.0).abs() < 1e-5,
            "{ground_nm2}"
        );
        assert_eq!(plan.notes.len(), notes, "{:?}", plan.notes);
    }
}

/// Six sectors: nine legs of one radius on these courses, all turns of 120° to the same side
/// (IAMSAR Manual Vol II ch. 5; corners by hand). Where a course repeats at the datum the two legs are one.
const SECTOR_COURSES_DEG: [f64; 9] = [0.0, 120.0, 240.0, 240.0, 0.0, 120.0, 120.0, 240.0, 0.0];

#[test]
fn legs_of_a_sector_search() {
    for datum in DATUMS {
        for (first_deg, turn, sign) in [(0.0, "right", 1.0), (77.0, "left", -1.0)] {
            let plan = lay_out(
                "",
                &format!(
                    "kind = \"sector\"\ndatum = [{}, {}]\nfirst_course = \"{first_deg} T\"\n\
                     turn = \"{turn}\"\nradius = \"5 NM\"",
                    datum.0, datum.1
                ),
            );
            assert_eq!(plan.pattern.name(), "sector search (VS)");
            joined(&plan);
            assert!((plan.total_length().nm() - 45.0).abs() < 1e-3, "nine radii");
            // The mid-leg track spacing of a six-sector search is half its radius (cross-legs equal
            // the greatest one, the radius; JP 3-50 Vol I, 1991, p. 185).
            assert!((plan.spacing.nm() - 2.5).abs() < 1e-9);
            let (mut x, mut y) = (0.0f64, 0.0f64);
            let mut corners = Vec::new();
            for (i, course_deg) in SECTOR_COURSES_DEG.iter().enumerate() {
                x += 5.0 * course_deg.to_radians().sin();
                y += 5.0 * course_deg.to_radians().cos();
                if SECTOR_COURSES_DEG.get(i + 1) != Some(course_deg) {
                    corners.push((x, y));
                }
            }
            assert_eq!(plan.legs.len(), corners.len());
            for (leg, (x, y)) in plan.legs.iter().zip(corners) {
                let course_deg = first_deg + sign * x.atan2(y).to_degrees();
                let expected = from_datum(datum, course_deg, x.hypot(y));
                let off_m = apart_m(expected, leg.end);
                assert!(off_m < 1e-6, "leg {}: {off_m} m", leg.label);
                // A leg of two radii passes over the datum.
                if leg.length.nm() > 6.0 {
                    let from_start = apart_m(datum, leg.start);
                    let start = (leg.start.lat(), leg.start.lon());
                    let middle = from_datum(start, leg.course.deg(), from_start / METRES_PER_NM);
                    let datum = Position::new(datum.0, datum.1).unwrap();
                    assert!(apart_m(middle, datum) < 1e-3, "leg {}", leg.label);
                }
            }
            let circle_nm2 = std::f64::consts::PI * 25.0;
            let ground_nm2 = plan.area.square_metres() / METRES_PER_NM.powi(2);
            assert!(
                (0.998..1.0).contains(&(ground_nm2 / circle_nm2)),
                "{ground_nm2}"
            );
        }
    }
}

/// The second time round the legs fall half-way between the first ones (IAMSAR Manual Vol II ch. 5):
/// with six sectors every course is turned by 30°.
#[test]
fn the_second_pass_lies_between_the_first() {
    for (turn, by_deg) in [("right", 30.0), ("left", 330.0)] {
        let plan = lay_out(
            "",
            &format!(
                "kind = \"sector\"\ndatum = [0.0, 0.0]\nfirst_course = \"010 T\"\n\
                 turn = \"{turn}\"\nradius = \"5 NM\"\nsecond_pass = true"
            ),
        );
        joined(&plan);
        let half = plan.legs.len() / 2;
        assert_eq!(half, 7);
        for (first, second) in plan.legs.iter().zip(&plan.legs[half..]) {
            let turned_deg = (second.course.deg() - first.course.deg()).rem_euclid(360.0);
            assert!((turned_deg - by_deg).abs() < 0.01, "{turned_deg}");
            assert!((first.length.m() - second.length.m()).abs() < 0.5);
        }
        // Twelve spokes: half the chord of 30°.
        assert!((plan.spacing.nm() - 5.0 * 15f64.to_radians().sin()).abs() < 1e-9);
    }
}

/// Any number of sectors: every spoke is flown once, cross-legs are 2R sin(θ/2) and the turn at the
/// rim is 90° + θ/2 for an angle θ between the spokes (by hand).
#[test]
fn more_sectors() {
    for sectors in [6u32, 10, 14, 18] {
        let plan = lay_out(
            "",
            &format!(
                "kind = \"sector\"\ndatum = [30.0, 30.0]\nfirst_course = \"000 T\"\n\
                 turn = \"right\"\nradius = \"8 NM\"\nsectors = {sectors}"
            ),
        );
        let angle = std::f64::consts::TAU / f64::from(sectors);
        let across = 16.0 * (angle / 2.0).sin();
        let mut rim: Vec<i64> = Vec::new();
        for (i, leg) in plan.legs.iter().enumerate() {
            if i % 2 == 1 {
                assert!((leg.length.nm() - across).abs() < 1e-3, "{leg:?}");
                for end in [leg.start, leg.end] {
                    let datum = Position::new(30.0, 30.0).unwrap();
                    let spoke = geodesic::between(datum, end).course_at_start;
                    rim.push((spoke.deg().rem_euclid(360.0) * 1000.0).round() as i64 % 360_000);
                }
            }
            if let Some(next) = plan.legs.get(i + 1) {
                let turn = leg.course.turn_to(next.course);
                let expected = 90.0 + angle.to_degrees() / 2.0;
                assert!((turn - expected).abs() < 0.2, "{turn} after {}", leg.label);
            }
        }
        let count = rim.len();
        rim.sort_unstable();
        rim.dedup();
        assert_eq!((rim.len(), count), (sectors as usize, sectors as usize));
    }
}
