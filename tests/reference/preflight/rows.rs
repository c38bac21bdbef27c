//! Other spacings and other latitudes.

use super::{METRES_PER_NM, rectangle, sweep, work_out};
use approx::assert_relative_eq;
use geographiclib_rs::{Geodesic, InverseGeodesic};
use overflown::geodesy::graticule;
use overflown::preflight::Questions;
use overflown::tasking::Law;

/// A spacing of the table, tasked by itself, lays out to the row's figures.
#[test]
fn rows_are_what_a_tasking_with_that_spacing_lays_out() {
    let questions = Questions {
        pod: Some(0.8),
        time_s: Some(3600.0),
        ..Questions::default()
    };
    let area = rectangle(40.0);
    let (_, worked_out) = work_out(&area, &sweep("090 T", "1 NM"), &questions);
    assert_eq!(worked_out.spacings.len(), 3);
    let in_time = worked_out.in_time.as_ref().unwrap();
    let rows = worked_out
        .spacings
        .iter()
        .map(|row| (row.spacing, &row.laid));
    let cases = [&in_time.without_allowance, &in_time.with_allowance];
    for (spacing, laid) in rows.chain(cases.map(|case| (case.spacing, &case.laid))) {
        let tasked = format!("{:.6} m", spacing.m());
        let (_, by_itself) = work_out(&area, &sweep("090 T", &tasked), &Questions::default());
        let (a, b) = (laid.legs.unwrap(), by_itself.legs);
        assert_eq!(a.search_legs, b.search_legs);
        assert!((a.total.m() - b.total.m()).abs() < 0.01, "{a:?} {b:?}");
    }
    // W = 1 NM: S = 1/C with C as above; definite range 1/0.8.
    let spacing = |law| {
        let row = worked_out.spacings.iter().find(|row| row.law == law);
        row.unwrap().spacing.nm()
    };
    assert!((spacing(Law::InverseCube) - 1.0 / 1.022_532).abs() < 1e-5);
    assert!((spacing(Law::Exponential) - 1.0 / 5.0_f64.ln()).abs() < 1e-9);
    assert!((spacing(Law::DefiniteRange) - 1.25).abs() < 1e-9);
    // One hour at 100 kt and 1 NM: 100 square miles, so one crew; 50 square miles at half a mile.
    let hour = &in_time.without_allowance;
    assert_relative_eq!(
        hour.area_m2,
        100.0 * METRES_PER_NM.powi(2),
        max_relative = 1e-9
    );
    assert_eq!(hour.crews, 1);
    assert!((hour.spacing.nm() - 0.5).abs() < 1e-4);
    let allowed = &in_time.with_allowance;
    assert_relative_eq!(allowed.area_m2 / hour.area_m2, 0.85, max_relative = 1e-12);
    assert_relative_eq!(allowed.spacing.m() * 0.85, hour.spacing.m());
}

/// Legs as tasked, without an area, laid out again at their own spacing come out as they were.
#[test]
fn legs_as_tasked_come_back_at_their_own_spacing() {
    let pattern = format!(
        "{}\nstart = [47.1, 12.5]\nleg_length = \"7 NM\"\nlegs = 9",
        sweep("037 T", "0.5 NM")
    );
    let (_, first) = work_out("", &pattern, &Questions::default());
    let questions = Questions {
        pod: Some(first.expected.pod[0].pod),
        ..Questions::default()
    };
    let (_, worked_out) = work_out("", &pattern, &questions);
    let row = &worked_out.spacings[0];
    assert!(
        (row.spacing.nm() - 0.5).abs() < 1e-6,
        "{}",
        row.spacing.nm()
    );
    let again = row.laid.legs.unwrap();
    assert_eq!(again.search_legs, 9);
    // The area is the hull of legs that converge by a few metres.
    assert!((again.total.nm() - first.legs.total.nm()).abs() < 0.1);
    assert!(worked_out.latitudes.rows.is_empty() && worked_out.latitudes.note.is_some());
}

/// Minutes of latitude and longitude against geographiclib, and against the usual series for the length
/// of a degree on WGS 84, in metres: 111132.92 - 559.82 cos 2φ + 1.175 cos 4φ - 0.0023 cos 6φ and
/// 111412.84 cos φ - 93.5 cos 3φ + 0.118 cos 5φ (as quoted in the article "Understanding terms in
/// Length of Degree formula", newbedev.com, which finds it good to 0.6 parts in a million).
#[test]
fn minutes_of_latitude_and_longitude() {
    let side_m = |from: (f64, f64), to: (f64, f64)| -> f64 {
        Geodesic::wgs84().inverse(from.0, from.1, to.0, to.1)
    };
    for lat in [-75.0, -39.0, 0.0, 15.0, 30.0, 45.0, 60.0, 75.0, 89.0_f64] {
        let (north, east) = (
            graticule::minute_of_latitude(lat).m(),
            graticule::minute_of_longitude(lat).m(),
        );
        let half = 1.0 / 120.0;
        assert!((north - side_m((lat - half, 5.0), (lat + half, 5.0))).abs() < 1e-3);
        // The geodesic cuts the parallel's corner: by far less than a millimetre over a minute.
        assert!((east - side_m((lat, 5.0 - half), (lat, 5.0 + half))).abs() < 1e-3);
        let phi = lat.to_radians();
        let cos = |k: f64| (k * phi).cos();
        let series_north = 111_132.92 - 559.82 * cos(2.0) + 1.175 * cos(4.0) - 0.0023 * cos(6.0);
        let series_east = 111_412.84 * cos(1.0) - 93.5 * cos(3.0) + 0.118 * cos(5.0);
        assert!((60.0 * north - series_north).abs() < 0.15, "at {lat}");
        assert!((60.0 * east - series_east).abs() < 0.15, "at {lat}");
    }
    // 6' of longitude at 39°10' N are not 6 NM but 6 cos 39.17° = 4.65 on a sphere of 1' to the mile
    // (by hand), 0.3 % more on the ellipsoid.
    let six = 6.0 * graticule::minute_of_longitude(39.0 + 10.0 / 60.0).nm();
    assert!((six / 4.65 - 1.003).abs() < 0.001, "{six}");
}

/// Cells of 15' and 7.5' at several latitudes: extents against geographiclib, their legs by hand from
/// these, and the latitude table against the cell tasked there.
#[test]
fn the_same_cell_at_other_latitudes() {
    let side_m = |from: (f64, f64), to: (f64, f64)| -> f64 {
        Geodesic::wgs84().inverse(from.0, from.1, to.0, to.1)
    };
    let cell = |south: f64, minutes: f64| {
        let side = minutes / 60.0;
        format!(
            "[area]\nsouth = {south}\nnorth = {}\nwest = 12.5\neast = {}",
            south + side,
            12.5 + side
        )
    };
    for (minutes, spacing) in [(15.0, 1.0), (7.5, 0.5)] {
        let pattern = sweep("000 T", &format!("{spacing} NM"));
        let (_, worked_out) = work_out(&cell(47.0, minutes), &pattern, &Questions::default());
        let rows = &worked_out.latitudes.rows;
        let middle = 47.0 + minutes / 120.0;
        let latitudes: Vec<f64> = rows.iter().map(|row| row.latitude_deg).collect();
        assert_eq!(latitudes, [0.0, 15.0, 30.0, 45.0, middle, 60.0, 75.0]);
        for row in rows {
            let half = minutes / 120.0;
            let (south, north) = (row.latitude_deg - half, row.latitude_deg + half);
            let extents = row.extents.unwrap();
            let legs = row.laid.legs.unwrap();
            // Along: a meridian. Across: the chord of the longer parallel; at the equator the widest
            // place lies between the two.
            let east = 12.5 + minutes / 60.0;
            let along_m = side_m((south, 12.5), (north, 12.5));
            let across_m = [south, north]
                .map(|lat| side_m((lat, 12.5), (lat, east)))
                .into_iter()
                .fold(0.0, f64::max);
            // Parallels bend: some metres at 15'.
            assert!((extents.along.m() - along_m).abs() < 40.0, "{row:?}");
            assert!((extents.across.m() - across_m).abs() < 3.0, "{row:?}");
            let count = (across_m / METRES_PER_NM / spacing).round();
            assert_eq!(legs.search_legs as f64, count, "{row:?}");
            let leg_nm = along_m / METRES_PER_NM - spacing;
            assert!((legs.longest.nm() - leg_nm).abs() < 0.02, "{row:?}");
            // The cell tasked there.
            let (_, there) = work_out(&cell(south, minutes), &pattern, &Questions::default());
            assert_eq!(there.legs.search_legs, legs.search_legs);
            assert!((there.legs.total.m() - legs.total.m()).abs() < 0.1);
            assert_eq!(row.own, row.latitude_deg == middle);
        }
        let own = rows.iter().find(|row| row.own).unwrap();
        let total_m = own.laid.legs.unwrap().total.m();
        assert!((total_m - worked_out.legs.total.m()).abs() < 1e-3);
        // South of the equator the same, mirrored.
        let mirrored = cell(-47.0 - minutes / 60.0, minutes);
        let (_, south) = work_out(&mirrored, &pattern, &Questions::default());
        for (a, b) in rows.iter().zip(&south.latitudes.rows) {
            assert!((a.latitude_deg + b.latitude_deg).abs() < 1e-9);
            let (a, b) = (a.laid.legs.unwrap(), b.laid.legs.unwrap());
            assert_eq!(a.search_legs, b.search_legs);
            assert!((a.total.m() - b.total.m()).abs() < 1.0, "{a:?} {b:?}");
        }
    }
}

/// Whatever way an area is given in degrees, its rows are those of the box it is; one given in miles
/// has none. 386ML3 is 47°00' to 47°15' N, 12°30' to 12°45' E (by hand from CJCSI 3900.01C).
#[test]
fn rows_for_areas_in_degrees_only() {
    let rows = |area: &str| {
        let (_, worked_out) = work_out(area, &sweep("000 T", "1 NM"), &Questions::default());
        worked_out.latitudes
    };
    let boxed = rows("[area]\nsouth = 47.0\nnorth = 47.25\nwest = 12.5\neast = 12.75");
    assert_eq!(boxed.rows.len(), 7);
    for same in [
        "[area]\ngars = \"386ML3\"",
        "[area]\ncell_corner = [47.0, 12.5]\ncell_size = \"15'\"",
        "[area]\ncorners = [[47.0, 12.5], [47.0, 12.75], [47.25, 12.75], [47.25, 12.5]]",
    ] {
        let other = rows(same);
        for (a, b) in boxed.rows.iter().zip(&other.rows) {
            let (a, b) = (a.laid.legs.unwrap(), b.laid.legs.unwrap());
            assert_eq!(a.search_legs, b.search_legs);
            assert!((a.total.m() - b.total.m()).abs() < 0.5, "{same}");
        }
    }
    let circle = rows("[area]\ncentre = [47.1, 12.5]\nradius = \"5 NM\"");
    assert!(circle.rows.is_empty() && circle.note.unwrap().contains("in miles"));
    // 20° of longitude far north are far too wide at the equator.
    let wide = rows("[area]\nsouth = 84.0\nnorth = 84.5\nwest = 0.0\neast = 20.0");
    let problem = |at: usize| wide.rows[at].laid.problem.as_deref();
    assert!(
        problem(0).unwrap().contains("from its centre"),
        "{:?}",
        problem(0)
    );
    assert!(
        wide.rows
            .iter()
            .any(|row| row.own && row.laid.legs.is_some())
    );
}
