//! Sides of areas and the arithmetic of parallel sweeps.

use geographiclib_rs::{Geodesic, InverseGeodesic};
use overflown::geodesy::{Position, geodesic};
use overflown::plan::{self, LegKind, Plan, arithmetic};
use overflown::tasking;
use overflown::units::{Bearing, Length, Speed};
use std::path::Path;

const METRES_PER_NM: f64 = 1852.0;

fn lay_out(area: &str, pattern: &str) -> Plan {
    let text = format!(
        "sortie = \"Plover 2\"\ndate = 2026-06-14\n{area}\n[pattern]\nkind = \"parallel sweep\"\n\
         turn = \"right\"\n{pattern}\n[flight]\nground_speed = \"90 kt\"\n\
         [detection]\nsweep_width = \"0.5 NM\"\n"
    );
    let path = Path::new("tasking.toml");
    plan::lay_out(&tasking::parse(&text, path).unwrap(), path).unwrap()
}

/// A cell of 7.5' by 7.5' with its south edge at this latitude.
fn cell(south: f64) -> String {
    format!(
        "[area]\nsouth = {south}\nnorth = {}\nwest = 12.5\neast = 12.625",
        south + 0.125
    )
}

fn search_lengths_m(plan: &Plan) -> Vec<f64> {
    plan.search_legs().map(|(_, leg)| leg.length.m()).collect()
}

fn side_m(from: (f64, f64), to: (f64, f64)) -> f64 {
    Geodesic::wgs84().inverse(from.0, from.1, to.0, to.1)
}

/// The sides of the cell are WGS 84 geodesics (geographiclib): 7.5 NM from north to south, for the
/// nautical mile was made to be a minute of latitude, and about 5 NM from east to west.
#[test]
fn sides_of_a_cell() {
    for south in [46.0, 47.0, 47.375, 48.875] {
        let plan = lay_out(
            &cell(south),
            "first_course = \"000 T\"\nspacing = \"0.5 NM\"",
        );
        let corners = plan.area.corners();
        let side = |a: usize, b: usize| geodesic::distance(corners[a], corners[b]).m();
        let north = south + 0.125;
        let expected = [
            side_m((south, 12.5), (south, 12.625)),
            side_m((south, 12.625), (north, 12.625)),
            side_m((north, 12.625), (north, 12.5)),
            side_m((north, 12.5), (south, 12.5)),
        ];
        for (i, expected_m) in expected.into_iter().enumerate() {
            assert!((side(i, (i + 1) % 4) - expected_m).abs() < 1e-6);
        }
        assert!(
            (expected[1] / METRES_PER_NM - 7.5).abs() < 0.01,
            "{expected:?}"
        );
        assert!(
            (expected[0] / METRES_PER_NM - 5.07).abs() < 0.16,
            "{expected:?}"
        );
    }
}

/// Between 46° and 49° north a cell takes ten legs from north to south at half a mile, twenty (one
/// more in its south) at a quarter, and more legs farther south, where it is wider (common practice,
/// no source; the widths above bear it out).
#[test]
fn legs_in_a_cell() {
    let legs = |south: f64, spacing: &str| {
        let pattern = format!("first_course = \"180 T\"\nspacing = \"{spacing}\"");
        lay_out(&cell(south), &pattern).search_legs().count()
    };
    for south in [46.0, 46.5, 47.0, 47.5, 48.0, 48.5, 48.875] {
        assert_eq!(legs(south, "0.5 NM"), 10, "at {south}");
        let halved = legs(south, "0.25 NM");
        assert!((19..=21).contains(&halved), "{halved} at {south}");
    }
    assert_eq!(legs(30.0, "0.5 NM"), 13);
    assert_eq!(legs(0.0, "0.5 NM"), 15);
}

/// With no inset legs run from edge to edge; otherwise they end half a spacing inside, as the
/// pattern does at its sides (JP 3-50 Vol I, 1991, p. 176 and p. 180).
#[test]
fn insets() {
    let north_south_m = side_m((47.0, 12.5), (47.125, 12.5));
    let pattern = "first_course = \"000 T\"\nspacing = \"0.5 NM\"";
    let inside = lay_out(&cell(47.0), pattern);
    let whole = lay_out(&cell(47.0), &format!("{pattern}\nend_inset = \"0 NM\""));
    // The meridians that bound the cell converge and its parallels are curved: 3 m at this size.
    for length_m in search_lengths_m(&whole) {
        assert!((length_m - north_south_m).abs() < 3.0, "{length_m}");
    }
    for length_m in search_lengths_m(&inside) {
        assert!(
            (length_m - (north_south_m - 926.0)).abs() < 3.0,
            "{length_m}"
        );
    }
    // The first leg stands half a spacing inside the widest part of the western edge.
    let first = inside.search_legs().next().unwrap().1.start;
    let edge = Position::new(first.lat(), 12.5).unwrap();
    let off_m = geodesic::distance(first, edge).m();
    assert!((off_m - 463.0).abs() < 12.0, "{off_m}");
}

/// A rectangle of A by B, as corners for a tasking, level with the equator at `lat`.
fn rectangle(lat: f64, along: Length, across: Length) -> String {
    let half = |length: Length| Length::from_m(length.m() / 2.0);
    let centre = Position::new(lat, -30.0).unwrap();
    let corner = |east: f64, north: f64| {
        let (mid, course) = geodesic::travel(centre, Bearing::from_deg(east), half(along));
        // At the middle of the short side the course is square to it.
        let side = if (east < 180.0) == (north > 0.0) {
            -90.0
        } else {
            90.0
        };
        geodesic::destination(mid, course.turned(side), half(across))
    };
    let corners = [
        corner(270.0, -1.0),
        corner(90.0, -1.0),
        corner(90.0, 1.0),
        corner(270.0, 1.0),
    ];
    let written: Vec<String> = corners
        .iter()
        .map(|p| format!("[{:.9}, {:.9}]", p.lat(), p.lon()))
        .collect();
    format!("[area]\ncorners = [{}]", written.join(", "))
}

/// The CSP and all legs stand half a track spacing inside the rectangle (JP 3-50 Vol I, 1991, p. 176
/// and p. 180), so n = B/S legs of L - S and n - 1 cross-legs of S make n(L-S) + (n-1)S = A/S - S
/// (closed form, by hand): 49 NM for 10 by 5 NM at one mile.
#[test]
fn length_of_a_parallel_sweep() {
    // What the ellipsoid takes from a figure drawn on paper: 10 m in 5 NM at 50° latitude.
    const TOLERANCE_NM: f64 = 0.01;
    for lat in [0.1, -35.0, 50.0] {
        for (along, across, spacing, legs, total) in [
            (10.0, 5.0, 1.0, 5, 49.0),
            (10.0, 5.0, 0.5, 10, 99.5),
            (12.0, 6.0, 1.5, 4, 46.5),
        ] {
            let area = rectangle(lat, Length::from_nm(along), Length::from_nm(across));
            let pattern = format!("first_course = \"090 T\"\nspacing = \"{spacing} NM\"");
            let plan = lay_out(&area, &pattern);
            assert_eq!(plan.search_legs().count(), legs, "at {lat}");
            assert!(plan.notes.is_empty(), "{:?}", plan.notes);
            assert!(
                (plan.total_length().nm() - total).abs() < TOLERANCE_NM,
                "{} NM at {lat}",
                plan.total_length().nm()
            );
            assert!((total - (along * across / spacing - spacing)).abs() < 1e-9);
            for leg in &plan.legs {
                let nominal = match leg.kind {
                    LegKind::Search => along - spacing,
                    LegKind::Cross => spacing,
                };
                assert!((leg.length.nm() - nominal).abs() < 0.002, "{leg:?}");
            }
        }
    }
}

/// Effort: A = V · T · S. Sample problems of *Mission Aircrew Reference Text, Volume II*, para 6.3.2,
/// p. 109; the page prints no answers, these are worked out by hand.
///
/// 9 hours at 90 kt and 2 NM cover 1620 square miles; 5000 square miles at 2 NM take three aircraft
/// at 100 kt 8.33 hours.
#[test]
fn effort_of_a_sweep() {
    for (legs, leg_length, speed_kt, aircraft, hours, square_nm) in [
        (20, 40.5, 90.0, 1.0, 9.0, 1620.0),
        (25, 100.0, 100.0, 3.0, 25.0 / 3.0, 5000.0),
    ] {
        let plan = lay_out(
            "",
            &format!(
                "start = [-0.4, -30.4]\nfirst_course = \"000 T\"\nspacing = \"2 NM\"\n\
                 leg_length = \"{leg_length} NM\"\nlegs = {legs}"
            ),
        );
        let rows = arithmetic::leg_table(&plan, Speed::from_kt(speed_kt));
        let searching_s: f64 = rows
            .iter()
            .filter(|row| row.kind == LegKind::Search)
            .map(|row| row.duration_s)
            .sum();
        assert!(
            (searching_s / 3600.0 / aircraft - hours).abs() < 1e-4,
            "{searching_s}"
        );
        // The area taken where none is given reaches half a spacing past the ends of the legs.
        let beyond = f64::from(legs) * 2.0 * 2.0;
        let area_nm2 = plan.area.square_metres() / METRES_PER_NM.powi(2);
        assert!(
            (area_nm2 / (square_nm + beyond) - 1.0).abs() < 1e-3,
            "{area_nm2} square miles"
        );
    }
}
