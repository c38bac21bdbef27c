//! Lay-out of the track line, the contour search and the interleaved sweep.

use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};
use overflown::geodesy::Position;
use overflown::plan::{self, Leg, LegKind, Plan, arithmetic, route_file};
use overflown::tasking;
use overflown::units::Speed;
use std::path::Path;

const METRES_PER_NM: f64 = 1852.0;
const STARTS: [(f64, f64); 4] = [(47.1, 12.5), (-0.1, -30.0), (-54.0, 179.95), (71.0, 25.0)];

fn lay_out(pattern: &str) -> Plan {
    let text = format!(
        "sortie = \"Plover 2\"\ndate = 2026-06-14\n{pattern}\n\
         [flight]\nground_speed = \"90 kt\"\n[detection]\nsweep_width = \"0.5 NM\"\n"
    );
    let path = Path::new("tasking.toml");
    let tasking = tasking::parse(&text, path).unwrap_or_else(|e| panic!("{e}: {}", e.hint));
    plan::lay_out(&tasking, path).unwrap_or_else(|e| panic!("{e}: {}", e.hint))
}

/// Where one arrives, and the course there, by geographiclib itself.
fn travel((lat, lon): (f64, f64), course_deg: f64, nm: f64) -> ((f64, f64), f64) {
    let (lat, lon, course_deg): (f64, f64, f64) =
        Geodesic::wgs84().direct(lat, lon, course_deg, nm * METRES_PER_NM);
    ((lat, lon), course_deg)
}

fn apart_nm(a: (f64, f64), b: Position) -> f64 {
    let m: f64 = Geodesic::wgs84().inverse(a.0, a.1, b.lat(), b.lon());
    m / METRES_PER_NM
}

/// A track line through these places.
fn track_line(kind: &str, line: &[(f64, f64)], rest: &str) -> Plan {
    let places: String = line
        .iter()
        .map(|(lat, lon)| format!("[{lat:.9}, {lon:.9}], "))
        .collect();
    lay_out(&format!(
        "[pattern]\nkind = \"track line {kind}\"\nline = [{places}]\nspacing = \"1 NM\"\n{rest}"
    ))
}

fn search(plan: &Plan) -> Vec<&Leg> {
    plan.search_legs().map(|(_, leg)| leg).collect()
}

/// One side of the line out, the other side back, half a spacing from it (MART II p. 139): 2L + S for two
/// passes, by hand; and for more of them the sums of the steps outwards.
#[test]
fn length_of_a_track_line() {
    for start in STARTS {
        let (end, _) = travel(start, 40.0, 20.0);
        for (kind, passes, legs, expected_nm) in [
            ("return", 2, 2, 2.0 * 20.0 + 1.0),
            ("return", 4, 4, 4.0 * 20.0 + 1.0 + 1.0 + 3.0),
            ("return", 6, 6, 6.0 * 20.0 + 5.0 + 1.0 + 5.0),
            ("non-return", 1, 1, 20.0),
            ("non-return", 3, 3, 3.0 * 20.0 + 1.0 + 2.0),
            ("non-return", 5, 5, 5.0 * 20.0 + 3.0 + 1.0 + 4.0),
        ] {
            let rest = format!("turn = \"right\"\npasses = {passes}");
            let plan = track_line(kind, &[start, end], &rest);
            assert_eq!(search(&plan).len(), legs);
            let total_nm = plan.total_length().nm();
            assert!(
                (total_nm - expected_nm).abs() < 2e-3,
                "{kind} {passes}: {total_nm}"
            );
            // It ends within the outermost pass of where it began, or of the other end.
            let last = plan.legs.last().unwrap().end;
            let place = if kind == "return" { start } else { end };
            let off_nm = apart_nm(place, last);
            let reach_nm = (f64::from(passes) - 1.0) / 2.0;
            assert!(
                (off_nm - reach_nm).abs() < 1e-4,
                "{kind} {passes}: {off_nm}"
            );
            // A strip of one spacing for each pass, half a spacing past the ends.
            let ground_nm2 = plan.area.square_metres() / METRES_PER_NM.powi(2);
            let expected_nm2 = 21.0 * f64::from(passes);
            assert!(
                (ground_nm2 / expected_nm2 - 1.0).abs() < 1e-4,
                "{ground_nm2}"
            );
        }
    }
}

/// The ends of the legs lie square to the line, on both sides alike, by geographiclib; the first turn is
/// to the tasked side.
#[test]
fn passes_of_a_track_line() {
    for start in STARTS {
        let (end, course_at_end) = travel(start, 110.0, 15.0);
        for (turn, sign) in [("right", 1.0), ("left", -1.0)] {
            let plan = track_line("return", &[start, end], &format!("turn = \"{turn}\""));
            let legs = search(&plan);
            for (leg, side, out) in [(legs[0], -sign, true), (legs[1], sign, false)] {
                let near = travel(start, 110.0 + side * 90.0, 0.5).0;
                let far = travel(end, course_at_end + side * 90.0, 0.5).0;
                let (first, last) = if out { (near, far) } else { (far, near) };
                assert!(apart_nm(first, leg.start) * METRES_PER_NM < 1e-3, "{leg:?}");
                assert!(apart_nm(last, leg.end) * METRES_PER_NM < 1e-3, "{leg:?}");
            }
            let turned = legs[0].course.turn_to(plan.legs[1].course);
            assert!((turned - sign * 90.0).abs() < 1.0, "{turned}");
            assert_eq!(plan.legs[1].kind, LegKind::Cross);
        }
    }
}

/// In a plane, by hand: at a bend of θ a leg S/2 outside is longer by S/2 tan(θ/2), inside shorter.
#[test]
fn bends_of_a_track_line() {
    for start in STARTS {
        let (bend, course_deg) = travel(start, 20.0, 6.0);
        let (end, _) = travel(bend, course_deg + 40.0, 5.0);
        let plan = track_line("return", &[start, bend, end], "turn = \"right\"");
        let off_nm = 0.5 * 20f64.to_radians().tan();
        let lengths: Vec<f64> = search(&plan).iter().map(|leg| leg.length.nm()).collect();
        for (found, expected) in
            lengths
                .iter()
                .zip([6.0 + off_nm, 5.0 + off_nm, 5.0 - off_nm, 6.0 - off_nm])
        {
            assert!((found - expected).abs() < 1e-4, "{lengths:?}");
        }
        // Legs of one pass join at the bend; only the passes are joined by a cross-leg.
        let labels: Vec<&str> = plan.legs.iter().map(|leg| leg.label.as_str()).collect();
        assert_eq!(labels, ["1", "2", "2-3", "3", "4"]);
        for pair in plan.legs.windows(2) {
            assert_eq!(pair[0].end, pair[1].start);
        }
    }
}

/// The second set: one leg fewer, half a spacing from its neighbours, begun at the end where the first
/// set ended; half the spacing, over the same ground (by hand).
#[test]
fn an_interleaved_sweep_halves_the_spacing() {
    let start = (47.1, 12.5);
    let pattern = |interleave: bool| {
        lay_out(&format!(
            "[pattern]\nkind = \"parallel sweep\"\nstart = [47.1, 12.5]\nfirst_course = \"000 T\"\n\
             turn = \"right\"\nspacing = \"1 NM\"\nleg_length = \"9 NM\"\nlegs = 5\n\
             interleave = {interleave}"
        ))
    };
    let (single, double) = (pattern(false), pattern(true));
    let legs = search(&double);
    assert_eq!(legs.len(), 9);
    assert!((double.spacing.nm() - 0.5).abs() < 1e-12);
    let total_nm = double.total_length().nm();
    assert!(
        (total_nm - (9.0 * 9.0 + 4.0 + 0.5 + 3.0)).abs() < 1e-3,
        "{total_nm}"
    );
    for (leg, across_nm) in legs
        .iter()
        .zip([0.0, 1.0, 2.0, 3.0, 4.0, 3.5, 2.5, 1.5, 0.5])
    {
        let near = if leg.start.lat() < leg.end.lat() {
            leg.start
        } else {
            leg.end
        };
        let expected = travel(start, 90.0, across_nm).0;
        assert!(apart_nm(expected, near) < 1e-6, "leg {}", leg.label);
    }
    for pair in double.legs.windows(2) {
        assert_eq!(pair[0].end, pair[1].start);
    }
    let (one, two) = (single.area.square_metres(), double.area.square_metres());
    assert!((one / two - 1.0).abs() < 1e-9, "{one} {two}");
    // From an area: legs of the second set end at its edge as those of the first do.
    let from_area = lay_out(
        "[area]\nsouth = 47.0\nnorth = 47.1\nwest = 12.5\neast = 12.65\n[pattern]\n\
         kind = \"parallel sweep\"\nfirst_course = \"000 T\"\nturn = \"right\"\nspacing = \"1 NM\"\n\
         interleave = true",
    );
    let legs = search(&from_area);
    // 0.15° of longitude are 6.1 NM at 47°: six legs, and five between them.
    assert_eq!(legs.len(), 11);
    let longest = legs.iter().map(|leg| leg.length.nm());
    assert!(longest.clone().fold(0.0, f64::max) - longest.fold(9.0, f64::min) < 0.01);
}

/// Every band at its height, stretch by stretch; a cross-leg where the next does not begin where the last
/// one ended (order and heights: MART II p. 150).
#[test]
fn bands_of_a_contour_search() {
    let plan = lay_out(
        "[pattern]\nkind = \"contour\"\nspacing = \"0.5 NM\"\n\
         [[pattern.bands]]\naltitude = \"6500 ft\"\n\
         line = [[47.0, 12.0], [47.05, 12.0], [47.05, 12.05], [47.0, 12.0]]\n\
         [[pattern.bands]]\naltitude = \"6000 ft\"\nline = [[47.0, 12.0], [46.9, 12.1]]\n\
         [[pattern.bands]]\naltitude = \"5500 ft\"\nline = [[46.8, 12.1], [46.8, 12.0]]",
    );
    assert_eq!(plan.pattern.name(), "contour (OS)");
    let rows = arithmetic::leg_table(&plan, Speed::from_kt(90.0));
    let found: Vec<(&str, i64)> = rows
        .iter()
        .map(|row| {
            (
                row.label.as_str(),
                row.altitude.unwrap().ft().round() as i64,
            )
        })
        .collect();
    let expected = [
        ("1", 6500),
        ("2", 6500),
        ("3", 6500),
        ("4", 6000),
        ("4-5", 5500),
        ("5", 5500),
    ];
    assert_eq!(found, expected);
    // The place at which the first band is left for the second is there at both heights.
    let points = route_file::plan_points(&plan);
    let heights_m: Vec<f64> = points
        .iter()
        .map(|p| p.altitude.unwrap().m().round())
        .collect();
    assert_eq!(
        heights_m,
        [
            1981.0, 1981.0, 1981.0, 1981.0, 1829.0, 1829.0, 1676.0, 1676.0
        ]
    );
    let gpx = route_file::to_gpx("Plover 2", "contour", &points).unwrap();
    let gpx = String::from_utf8(gpx).unwrap();
    assert_eq!(gpx.matches("<ele>").count(), 8, "{gpx}");
}

/// The same legs from places in the tasking as from a file of each format.
#[test]
fn a_route_from_the_tasking_or_from_a_file() {
    let folder = tempfile::tempdir().unwrap();
    let places = [(47.0, 12.5), (47.1, 12.5), (47.1, 12.507), (47.0, 12.507)];
    let list = |write: &dyn Fn((f64, f64)) -> String| places.map(write).join(" ");
    let geojson = places
        .map(|(lat, lon)| format!("[{lon}, {lat}]"))
        .join(", ");
    let files = [
        (
            "a",
            format!(
                "<gpx version=\"1.1\" creator=\"t\"><rte>{}</rte></gpx>",
                list(&|(lat, lon)| format!("<rtept lat=\"{lat}\" lon=\"{lon}\"></rtept>"))
            ),
        ),
        (
            "b",
            format!(
                "<kml><Placemark><LineString><coordinates>{}</coordinates></LineString></Placemark></kml>",
                list(&|(lat, lon)| format!("{lon},{lat}"))
            ),
        ),
        (
            "c",
            format!("{{\"type\": \"LineString\", \"coordinates\": [{geojson}]}}"),
        ),
    ];
    let route = |source: &str| {
        let text = format!(
            "sortie = \"Plover 2\"\ndate = 2026-06-14\n[pattern]\nkind = \"route\"\n{source}\n\
             spacing = \"0.3 NM\"\n[flight]\nground_speed = \"90 kt\"\n[detection]\n\
             sweep_width = \"0.5 NM\"\n"
        );
        let path = folder.path().join("tasking.toml");
        let tasking = tasking::parse(&text, &path).unwrap_or_else(|e| panic!("{e}: {}", e.hint));
        plan::lay_out(&tasking, &path).unwrap_or_else(|e| panic!("{e}: {}", e.hint))
    };
    let written = places
        .map(|(lat, lon)| format!("[{lat}, {lon}]"))
        .join(", ");
    let inline = route(&format!("points = [{written}]"));
    let labels: Vec<&str> = inline.legs.iter().map(|leg| leg.label.as_str()).collect();
    assert_eq!(labels, ["1", "1-2", "2"]);
    assert!(inline.inputs.is_empty());
    for (name, content) in files {
        std::fs::write(folder.path().join(name), content).unwrap();
        let plan = route(&format!("file = \"{name}\""));
        assert_eq!(plan.legs, inline.legs, "{name}");
        assert_eq!(plan.inputs.len(), 1);
    }
}
