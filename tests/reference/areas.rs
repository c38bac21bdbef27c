//! Areas given as circles, corridors and cells.

use geographiclib_rs::{Geodesic, PolygonArea, Winding};
use overflown::geodesy::{Position, geodesic};
use overflown::plan::{self, Plan};
use overflown::tasking;
use overflown::units::Length;
use std::f64::consts::PI;
use std::path::Path;

fn lay_out(area: &str) -> Plan {
    let text = format!(
        "sortie = \"Dunlin 6\"\ndate = 2026-06-14\n[area]\n{area}\n[pattern]\n\
         kind = \"parallel sweep\"\nturn = \"right\"\nfirst_course = \"000 T\"\n\
         spacing = \"0.5 NM\"\n[flight]\nground_speed = \"90 kt\"\n\
         [detection]\nsweep_width = \"0.5 NM\"\n"
    );
    let path = Path::new("tasking.toml");
    let tasking = tasking::parse(&text, path).unwrap_or_else(|e| panic!("{e}: {}", e.hint));
    plan::lay_out(&tasking, path).unwrap_or_else(|e| panic!("{e}: {}", e.hint))
}

/// Size of the polygon on the ellipsoid, its edges geodesics, by geographiclib.
fn size_m2(corners: &[Position]) -> f64 {
    let globe = Geodesic::wgs84();
    let mut polygon = PolygonArea::new(&globe, Winding::CounterClockwise);
    for corner in corners {
        polygon.add_point(corner.lat(), corner.lon());
    }
    polygon.compute(true).1.abs()
}

/// π r² (1 - r²/(12 R²)) is a circle's size on a sphere of radius R (series, textbook geometry).
#[test]
fn circles_have_their_size() {
    for (centre, radius_nm) in [
        ("[0.0, 0.0]", 1.0),
        ("\"47 06 N 012 30 E\"", 5.0),
        ("[-71.0, 179.99]", 30.0),
        ("[84.0, 10.0]", 59.0),
        ("[47.0, 12.0]", 119.0),
    ] {
        let plan = lay_out(&format!("centre = {centre}\nradius = \"{radius_nm} NM\""));
        let radius_m = Length::from_nm(radius_nm).m();
        let size = PI * radius_m.powi(2) * (1.0 - (radius_m / 6_371_000.0).powi(2) / 12.0);
        for found in [size_m2(plan.area.corners()), plan.area.square_metres()] {
            assert!(
                (found / size - 1.0).abs() < 1e-3,
                "{found} {size} at {centre}"
            );
        }
        // It parts from the circle by less than a thousandth of the radius either way.
        let reach = |place: Position| geodesic::distance(plan.frame.origin(), place).m() / radius_m;
        for corner in plan.area.corners() {
            assert!((reach(*corner) - 1.0).abs() < 1e-3, "{}", reach(*corner));
        }
        assert!(plan.area.sharp_corners().is_empty());
    }
}

/// In a plane, by hand: along a line of length L 2wL, half a circle at either end; at a right angle a
/// quarter of a circle is added outside, and a square of side w is counted twice inside.
#[test]
fn corridors_have_their_size() {
    let (north, east) = (10.0 * 1852.0, 8.0 * 1852.0);
    let w = 1852.0;
    let start = Position::new(47.0, 12.0).unwrap();
    let bearing = overflown::units::Bearing::from_deg;
    let (bend, course) = geodesic::travel(start, bearing(0.0), Length::from_m(north));
    let end = geodesic::destination(bend, course.turned(90.0), Length::from_m(east));
    let written = |p: Position| format!("[{:.9}, {:.9}]", p.lat(), p.lon());
    let ends = PI * w * w;
    for (line, size) in [
        (vec![start, bend], 2.0 * w * north + ends),
        (
            vec![start, bend, end],
            2.0 * w * (north + east) + ends + PI * w * w / 4.0 - w * w,
        ),
    ] {
        let line: Vec<String> = line.into_iter().map(written).collect();
        let plan = lay_out(&format!(
            "line = [{}]\nhalf_width = \"1 NM\"",
            line.join(", ")
        ));
        for found in [size_m2(plan.area.corners()), plan.area.square_metres()] {
            assert!((found / size - 1.0).abs() < 1e-3, "{found} {size}");
        }
    }
    // No corner is farther from the line than half the width, to a centimetre.
    let plan = lay_out(&format!(
        "line = [{}, {}]\nhalf_width = \"1 NM\"",
        written(start),
        written(bend)
    ));
    for corner in plan.area.corners() {
        let nearest = (0..=2000)
            .map(|i| {
                let along = Length::from_m(north * f64::from(i) / 2000.0);
                geodesic::distance(geodesic::destination(start, bearing(0.0), along), *corner).m()
            })
            .fold(f64::INFINITY, f64::min);
        assert!((nearest - w).abs() < 0.1, "{nearest}");
    }
}

/// The same ground by its edges, its corner and its GARS name (bounds by hand from the rule of CJCSI
/// 3900.01C: 385 is the band from 12° E, ML the one from 47° N, 3 its south-western quarter).
#[test]
fn cells_are_the_boxes_they_name() {
    let edges = |size: f64| {
        let (north, east) = (47.0 + size, 12.0 + size);
        lay_out(&format!(
            "south = 47\nwest = 12\nnorth = {north}\neast = {east}"
        ))
    };
    for (area, size) in [
        ("gars = \"385ML\"", 0.5),
        ("gars = \"385ml3\"", 0.25),
        ("cell_corner = [47, 12]\ncell_size = \"7.5'\"", 0.125),
        ("cell_corner = \"N47 E12\"\ncell_size = \"15'\"", 0.25),
        ("cell_corner = [47, 12]\ncell_size = \"30'\"", 0.5),
        ("cell_corner = [47, 12]\ncell_size = \"1°\"", 1.0),
    ] {
        let (found, expected) = (lay_out(area), edges(size));
        assert_eq!(found.area.corners().len(), expected.area.corners().len());
        for (a, b) in found.area.corners().iter().zip(expected.area.corners()) {
            assert!(geodesic::distance(*a, *b).m() < 1e-6, "{area}: {a} {b}");
        }
        assert_eq!(found.area.sharp_corners().len(), 4, "{area}");
    }
}
