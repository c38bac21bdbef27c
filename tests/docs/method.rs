//! Method, architecture and dependencies: the tests, thresholds and figures they name are there.

use crate::support::nm;
use crate::{ARCHITECTURE, DEVELOPERS, MANIFEST, METHOD, names, under};
use overflown::geodesy::{LegFrame, LocalFrame, Position, geodesic};
use overflown::units::Length;
use std::path::Path;

#[test]
fn every_dependency_is_explained() {
    let dependencies = MANIFEST
        .split("\n[")
        .filter(|table| {
            table.starts_with("dependencies]") || table.starts_with("dev-dependencies]")
        })
        .flat_map(|table| table.lines().skip(1))
        .filter_map(|line| line.split_once(" = "))
        .map(|(name, _)| name);
    let section = under(DEVELOPERS, "## Dependencies");
    let mut count = 0;
    for name in dependencies {
        assert!(names(section, name), "{name} is not explained");
        count += 1;
    }
    assert!(count > 30, "only {count} dependencies found in Cargo.toml");
}

/// Worst difference, metres, between the cross-track distance in one plane about the area's centre
/// and the one of a frame for the leg, over legs through an area of this size.
fn loss_of_one_plane_m(east: Length, north: Length) -> f64 {
    let centre = Position::new(47.0, 12.0).unwrap();
    let plane = LocalFrame::new(centre);
    let place = |x: f64, y: f64| {
        plane.inverse(geo::Coord {
            x: x * east.m() / 2.0,
            y: y * north.m() / 2.0,
        })
    };
    let mut worst: f64 = 0.0;
    for x in [-1.0, -0.5, 0.0, 0.5, 1.0] {
        let (start, end) = (place(x, -1.0), place(x, 1.0));
        let frame = LegFrame::new(start, end);
        let (a, b) = (plane.forward(start), plane.forward(end));
        let length = (b.x - a.x).hypot(b.y - a.y);
        for share in [0.1, 0.3, 0.5, 0.7, 0.9] {
            let along = Length::from_m(share * frame.length().m());
            let course = geodesic::between(start, end).course_at_start;
            let (foot, course) = geodesic::travel(start, course, along);
            let fix = geodesic::destination(foot, course.turned(90.0), Length::from_m(200.0));
            let p = plane.forward(fix);
            let cross = ((p.x - a.x) * (b.y - a.y) - (p.y - a.y) * (b.x - a.x)) / length;
            worst = worst.max((cross - frame.locate(fix).cross_m).abs());
        }
    }
    worst
}

/// The figures of `docs/architecture.md`.
#[test]
fn one_plane_serves_a_small_area_but_not_a_large_one() {
    let small = loss_of_one_plane_m(nm(5.0), nm(7.5));
    let large = loss_of_one_plane_m(nm(40.0), nm(40.0));
    assert!((0.001..0.003).contains(&small), "{small} m");
    assert!((0.3..0.5).contains(&large), "{large} m");
}

/// All source files, with their paths from the root of the repository.
fn sources() -> Vec<(String, String)> {
    fn walk(folder: &Path, found: &mut Vec<(String, String)>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, found);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let name = path.to_string_lossy().replace('\\', "/");
                found.push((name, std::fs::read_to_string(&path).unwrap()));
            }
        }
    }
    let mut found = Vec::new();
    for folder in ["src", "tests"] {
        walk(
            &Path::new(env!("CARGO_MANIFEST_DIR")).join(folder),
            &mut found,
        );
    }
    found
}

/// Words between single back quotes.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

#[test]
fn tests_and_thresholds_named_in_the_method_exist() {
    let sources = sources();
    let outside_blocks: String = METHOD.split("```").step_by(2).collect();
    let (mut tests, mut constants) = (0, 0);
    for word in quoted(&outside_blocks).chain(quoted(ARCHITECTURE)) {
        if let Some((file, test)) = word.split_once("::").filter(|w| w.0.ends_with(".rs")) {
            let here = sources.iter().any(|(path, text)| {
                path.ends_with(&format!("/{file}")) && text.contains(&format!("fn {test}("))
            });
            assert!(here, "there is no {word}");
            tests += 1;
        } else if word.len() > 4 && word.chars().all(|c| c.is_ascii_uppercase() || c == '_') {
            let here = sources
                .iter()
                .any(|(_, text)| text.contains(&format!("const {word}:")));
            assert!(here, "there is no constant {word}");
            constants += 1;
        }
    }
    assert!(
        tests > 30 && constants > 20,
        "{tests} tests, {constants} constants"
    );
}
