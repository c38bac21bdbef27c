//! What is written reads back as what it was.

use crate::support::{self, TASKING};
use crate::turn;
use overflown::geodesy::{Position, geodesic};
use overflown::plan::{LegKind, area_file, arithmetic, lay_out, line_file, survey};
use overflown::preflight::{Questions, preflight};
use overflown::report::plan::{PlanReport, files};
use overflown::tasking::parse;
use proptest::prelude::*;
use std::path::Path;

fn apart_m(a: &[Position], b: &[Position]) -> f64 {
    assert_eq!(a.len(), b.len());
    a.iter()
        .zip(b)
        .map(|(a, b)| geodesic::distance(*a, *b).m())
        .fold(0.0, f64::max)
}

/// The area out of `plan.kml` and `plan.geojson`, and the points out of `route.gpx`.
#[test]
fn the_files_of_a_plan_read_back() {
    let _turn = turn();
    let (tasking, plan) = support::tasking(TASKING);
    let rows = arithmetic::leg_table(&plan, tasking.flight.ground_speed);
    let corners = survey::area_corners(&plan);
    let preflight = preflight(&tasking, Path::new("t"), &plan, &Questions::default());
    let report = PlanReport {
        tasking: &tasking,
        plan: &plan,
        rows: &rows,
        corners: &corners,
        preflight: &preflight,
    };
    let files = files(&report).unwrap();
    let bytes = |name: &str| &files.iter().find(|file| file.name == name).unwrap().bytes;
    // Seven decimals of a degree are 11 mm.
    for name in ["plan.kml", "plan.geojson"] {
        let read = area_file::read_bytes(Path::new(name), bytes(name)).unwrap();
        let own = plan.area.corners();
        let turned = |by: usize| {
            own.iter()
                .cycle()
                .skip(by)
                .take(own.len())
                .copied()
                .collect::<Vec<_>>()
        };
        let nearest = (0..own.len())
            .flat_map(|by| [turned(by), turned(by).into_iter().rev().collect()])
            .map(|own: Vec<Position>| apart_m(&own, &read))
            .fold(f64::INFINITY, f64::min);
        assert!(nearest < 0.02, "{name}: {nearest} m");
    }
    let read = line_file::read_bytes(Path::new("route.gpx"), bytes("route.gpx"), None).unwrap();
    let legs = plan.legs.iter().filter(|leg| leg.kind == LegKind::Search);
    let mut ends: Vec<Position> = legs.flat_map(|leg| [leg.start, leg.end]).collect();
    ends.dedup();
    assert!(apart_m(&ends, &read) < 0.02);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any name that a tasking may have comes back, and the tasking with it.
    #[test]
    fn names_read_back(name in "[\\PC&&[^/\\\\:*?\"<>|.\u{061c}\u{200e}\u{200f}\u{206a}-\u{206f}]]{1,30}") {
        prop_assume!(overflown::characters::is_folder_name(name.trim()));
        let text = TASKING.replace("Heron 3", name.trim());
        let tasking = parse(&text, Path::new("t.toml")).unwrap();
        prop_assert_eq!(&tasking.sortie, name.trim());
        let plan = lay_out(&tasking, Path::new("t.toml")).unwrap();
        let points = overflown::plan::route_file::plan_points(&plan);
        let gpx = overflown::plan::route_file::to_gpx(name.trim(), "", &points).unwrap();
        let read = line_file::read_bytes(Path::new("r"), &gpx, Some(name.trim()));
        prop_assert!(read.is_ok(), "{:?}", read);
    }
}

/// What every format begins with, so that its reader is reached.
const STARTS: [(&str, &str); 22] = [
    ("gpx", "<gpx><trk><trkseg><trkpt lat=\"1\" lon=\"2\">"),
    (
        "kml",
        "<kml><Placemark><Track><when>2026-05-01T15:04:05Z</when><coord>",
    ),
    (
        "igc",
        "HFDTE010526\r\nB1504050000001N00000001EA0010000100\r\nB",
    ),
    (
        "nmea",
        "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\r\n$GP",
    ),
    (
        "geojson",
        "{\"type\": \"Feature\", \"geometry\": {\"type\": \"LineString\", \"coordinates\": [[1,2],",
    ),
    ("table", "time,lat,lon\n2026-05-01T15:04:05Z,1,2\n"),
    ("kmz", "PK\u{3}\u{4}"),
    ("any", ""),
    ("area", "{\"type\": \"Polygon\", \"coordinates\": [[[1,2],"),
    ("line", "<gpx version=\"1.1\" creator=\"t\"><rte>"),
    (
        "line",
        "line_number,line_name,lat,lon,place_name\n1,a,47,12,",
    ),
    (
        "gather",
        "1|5|15:04|16:00|60\ntime,lat,lon\n2026-05-01T15:04:05Z,1,2\n",
    ),
    (
        "convert",
        "time,lat,lon,height m\n2026-05-01T15:04:05Z,1,2,3\n",
    ),
    ("infer", "time,lat,lon\n2026-05-01T15:04:05Z,1,2\n"),
    ("terrain", "II*\0\u{8}\0\0\0"),
    ("terrain", "PK\u{3}\u{4}"),
    ("backdrop", "II*\0\u{8}\0\0\0"),
    ("backdrop", "SQLite format 3\0"),
    (
        "tasking",
        "sortie = \"a\"\ndate = 2026-05-01\n[pattern]\nkind = ",
    ),
    ("search", "search = \"a\"\n[[sub_areas]]\n"),
    ("words", "47 07.5 N 0"),
    ("widths", "over = \"land\"\n"),
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn arbitrary_bytes_do_no_harm(
        (feed, start) in prop::sample::select(STARTS.to_vec()),
        bytes in prop::collection::vec(any::<u8>(), 0..400),
        as_text in any::<bool>(),
        text in "[ -~\n]{0,200}",
    ) {
        let _turn = turn();
        let rest = if as_text { text.as_bytes() } else { &bytes };
        crate::memory::bounded(feed, &[start.as_bytes(), rest].concat());
    }

    /// Two bytes begin a gzip file; what is packed is read as what it is.
    #[test]
    fn arbitrary_bytes_packed_do_no_harm(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let _turn = turn();
        crate::memory::bounded("gzip", &[&[0x1F, 0x8B, 8, 0][..], &bytes].concat());
        crate::memory::bounded("gzip", &bytes);
    }
}
