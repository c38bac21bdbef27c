//! The arithmetic before a flight.

use approx::assert_relative_eq;
use geographiclib_rs::{Geodesic, InverseGeodesic};
use overflown::detection::inverse::coverage_factor_for;
use overflown::detection::law::mid_strip_pod;
use overflown::detection::{InverseCube, View};
use overflown::geodesy::{LegFrame, Position, geodesic, graticule};
use overflown::plan::{self, Plan};
use overflown::preflight::effort::{
    aircraft_for, area_in, spacing_for, standard_turn_radius, time_for, turn_way,
};
use overflown::preflight::starts::NoStart;
use overflown::preflight::{Preflight, Questions, preflight};
use overflown::tasking::{self, Law, Side};
use overflown::units::{Bearing, Length, Speed};
use std::path::Path;

const METRES_PER_NM: f64 = 1852.0;

fn nm(nm: f64) -> Length {
    Length::from_nm(nm)
}

/// A tasking at 100 kt with W = 1 NM, laid out and worked out.
fn work_out(area: &str, pattern: &str, questions: &Questions) -> (Plan, Preflight) {
    let text = format!(
        "sortie = \"Plover 2\"\ndate = 2026-06-14\n{area}\n[pattern]\n{pattern}\n\
         [flight]\nground_speed = \"100 kt\"\n[detection]\nsweep_width = \"1 NM\"\n"
    );
    let path = Path::new("tasking.toml");
    let tasking = tasking::parse(&text, path).unwrap_or_else(|e| panic!("{e}: {}", e.hint));
    let plan = plan::lay_out(&tasking, path).unwrap_or_else(|e| panic!("{e}: {}", e.hint));
    let worked_out = preflight(&tasking, path, &plan, questions);
    (plan, worked_out)
}

fn sweep(course: &str, spacing: &str) -> String {
    format!(
        "kind = \"parallel sweep\"\nturn = \"right\"\nfirst_course = \"{course}\"\nspacing = \"{spacing}\""
    )
}

/// Places at these distances and directions from a centre, as corners of an area.
fn corners(lat: f64, spokes: &[(f64, f64)]) -> String {
    let centre = Position::new(lat, -30.0).unwrap();
    let written: Vec<String> = spokes
        .iter()
        .map(|(deg, reach_nm)| {
            let at = geodesic::destination(centre, Bearing::from_deg(*deg), nm(*reach_nm));
            format!("[{:.9}, {:.9}]", at.lat(), at.lon())
        })
        .collect();
    format!("[area]\ncorners = [{}]", written.join(", "))
}

/// 10 NM from west to east by 5 NM.
fn rectangle(lat: f64) -> String {
    let (to_corner, reach) = (5.0_f64.atan2(2.5).to_degrees(), 5.0_f64.hypot(2.5));
    corners(
        lat,
        &[
            (to_corner, reach),
            (180.0 - to_corner, reach),
            (180.0 + to_corner, reach),
            (-to_corner, reach),
        ],
    )
}

/// A = V · S · T, by the sample problems of *Mission Aircrew Reference Text, Volume II*, para 6.3.2,
/// p. 109; the page prints no answers, these are worked out by hand. 9 hours at 90 kt and 2 NM: 1620
/// square miles. 6000 square miles at 60 kt in 6 hours at 1.5 NM: 11.1, so 12 aircraft. 5000 square
/// miles at 2 NM by three aircraft at 100 kt: 8.33 hours.
#[test]
fn sample_problems_of_effort() {
    let square_nm = |n: f64| n * METRES_PER_NM.powi(2);
    let (hour, kt) = (3600.0, Speed::from_kt);
    let area_m2 = area_in(9.0 * hour, kt(90.0), nm(2.0));
    assert_relative_eq!(area_m2, square_nm(1620.0), max_relative = 1e-12);
    let crews = aircraft_for(square_nm(6000.0), 6.0 * hour, kt(60.0), nm(1.5));
    assert_eq!(crews, 12);
    // As many as it takes and not one more.
    let crews = aircraft_for(square_nm(5400.0), 6.0 * hour, kt(60.0), nm(1.5));
    assert_eq!(crews, 10);
    let time_s = time_for(square_nm(5000.0), kt(100.0), nm(2.0), 3);
    assert!((time_s / hour - 8.33).abs() < 0.005, "{time_s}");
    let spacing = spacing_for(square_nm(1620.0), 9.0 * hour, kt(90.0));
    assert_relative_eq!(spacing.nm(), 2.0, max_relative = 1e-12);
}

/// Rectangle 10 by 5 NM at 1 NM, by hand: along the long side 5 legs of 9 NM and 4 cross-legs, along the
/// short side 10 legs of 4 NM and 9 cross-legs, 49 NM either way, which is A/S - S; 29.4 min at 100 kt,
/// and as 85 % of the time on scene (JP 3-50 Vol I, 1991, para 532, p. 147) 34.6 min.
#[test]
fn figures_of_a_rectangle() {
    for (kind, course, legs, leg_nm, along, across) in [
        ("parallel sweep", "090 T", 5, 9.0, 10.0, 5.0),
        ("creeping line", "000 T", 10, 4.0, 5.0, 10.0),
    ] {
        let pattern = sweep(course, "1 NM").replace("parallel sweep", kind);
        let (_, worked_out) = work_out(&rectangle(-35.0), &pattern, &Questions::default());
        let figures = &worked_out.legs;
        assert_eq!((figures.search_legs, figures.cross_legs), (legs, legs - 1));
        // What the ellipsoid takes from a figure drawn on paper: a few metres.
        let near = |a: f64, b: f64, tolerance: f64| assert!((a - b).abs() < tolerance, "{a} {b}");
        near(figures.shortest.nm(), leg_nm, 0.002);
        near(figures.longest.nm(), leg_nm, 0.002);
        near(figures.search.nm(), legs as f64 * leg_nm, 0.01);
        near(figures.cross.nm(), legs as f64 - 1.0, 0.01);
        near(figures.total.nm(), 49.0, 0.01);
        near(figures.time_s / 60.0, 29.4, 0.01);
        near(figures.on_scene_s / 60.0, 34.6, 0.02);
        // A/(V S) counts a spacing more of way.
        let by_area_s = worked_out.effort.area_time_s.unwrap();
        near(by_area_s / 60.0, 30.0, 0.01);
        near(worked_out.extents.along.nm(), along, 0.002);
        near(worked_out.extents.across.nm(), across, 0.002);
        near(
            worked_out.extents.area_m2 / METRES_PER_NM.powi(2),
            50.0,
            0.01,
        );
    }
}

/// An expanding square of 2m legs is m(m+1) S long, a sector search of six sectors 9 R (closed forms,
/// by hand). Both begin at the datum (JP 3-50 Vol I, 1991, p. 185).
#[test]
fn figures_of_patterns_about_a_datum() {
    for (pattern, total_nm) in [
        (
            "kind = \"expanding square\"\nspacing = \"1 NM\"\nlegs = 10",
            30.0,
        ),
        ("kind = \"sector\"\nradius = \"5 NM\"", 45.0),
    ] {
        let pattern =
            format!("{pattern}\ndatum = [47.1, 12.5]\nfirst_course = \"000 T\"\nturn = \"right\"");
        let (_, worked_out) = work_out("", &pattern, &Questions::default());
        let total = worked_out.legs.total.nm();
        assert!((total - total_nm).abs() < 0.001, "{total}");
        let points = &worked_out.start_points;
        let planned = points.planned.unwrap();
        assert!((planned.lat() - 47.1).abs() < 1e-12 && (planned.lon() - 12.5).abs() < 1e-12);
        assert!(points.corners.is_empty() && points.note.is_some());
    }
}

/// The inverse-cube law gives POD = erf(√π/2 · C), so that C = z √(2/π), z being the quantile of the
/// normal distribution at (1 + POD)/2. Quantiles from any table of statistics (from memory).
#[test]
fn coverage_factor_for_a_pod() {
    let law_for_a_mile = InverseCube::new(nm(1.0), None);
    let c = |law, pod| coverage_factor_for(law, pod, &law_for_a_mile, View::WHOLE);
    for (pod, z) in [
        (0.5, 0.674_490),
        (0.7, 1.036_433),
        (0.8, 1.281_552),
        (0.9, 1.644_854),
        (0.95, 1.959_964),
        (0.99, 2.575_829),
    ] {
        let expected = z * std::f64::consts::FRAC_2_PI.sqrt();
        assert_relative_eq!(c(Law::InverseCube, pod), expected, max_relative = 1e-6);
        assert_relative_eq!(
            1.0 - (-c(Law::Exponential, pod)).exp(),
            pod,
            epsilon = 1e-12
        );
        assert_relative_eq!(c(Law::DefiniteRange, pod), pod);
    }
    // The curves at C = 1, as usually quoted: 79 % and 63 %.
    assert!((c(Law::InverseCube, 0.79) - 1.0).abs() < 0.001);
    assert!((c(Law::Exponential, 0.632) - 1.0).abs() < 0.001);
    // Halfway between two legs, by hand: the legs at ±1/2, ±3/2, … add up to Σ 1/(i + 1/2)² = π².
    for factor in [0.5, 1.0, 2.0] {
        let sum: f64 = (0..200_000)
            .map(|i| 2.0 / (f64::from(i) + 0.5).powi(2))
            .sum();
        let exposure = factor * factor / (4.0 * std::f64::consts::PI) * sum;
        assert!(
            (mid_strip_pod(&InverseCube::new(nm(factor), None), nm(1.0))
                - (1.0 - (-exposure).exp()))
            .abs()
                < 1e-5
        );
    }
}

/// Radii in NM at 3° a second: V/(60 π), V in knots (by hand). A turn of three arcs, integrated step
/// by step, ends abeam of where it began, the spacing to one side, on the opposite course.
#[test]
fn turns_between_legs() {
    for (kt, radius_nm) in [(80.0, 0.424), (90.0, 0.477), (100.0, 0.531), (120.0, 0.637)] {
        let radius = standard_turn_radius(Speed::from_kt(kt)).nm();
        assert!((radius - radius_nm).abs() < 0.0005, "{radius}");
    }
    let r = 1.0;
    for aside in [0.1, 0.5, 1.0, 1.5, 1.99] {
        let way = turn_way(Length::from_m(r), Length::from_m(aside)).m();
        let away = (way / r - std::f64::consts::PI) / 4.0;
        let steps = 100_000;
        let step = way / f64::from(steps);
        let (mut x, mut y, mut course) = (0.0, 0.0, 0.0_f64);
        for i in 0..steps {
            let at = (f64::from(i) + 0.5) * step;
            let out = at < away * r || at > way - away * r;
            let turned = if out { -step } else { step } / r;
            x += step * (course + turned / 2.0).sin();
            y += step * (course + turned / 2.0).cos();
            course += turned;
        }
        assert!((x - aside).abs() < 1e-3 && y.abs() < 1e-3, "{x} {y}");
        assert!((course - std::f64::consts::PI).abs() < 1e-3, "{course}");
    }
    // A half circle where the spacing is just its width, and a straight part beyond.
    let wide = |aside: f64| turn_way(Length::from_m(r), Length::from_m(aside)).m();
    assert_relative_eq!(wide(2.0), std::f64::consts::PI);
    assert_relative_eq!(wide(1.999_999), std::f64::consts::PI, epsilon = 0.01);
    assert_relative_eq!(wide(3.0), std::f64::consts::PI + 1.0);

    // Half a mile at 90 kt is less than the 0.955 NM that a half turn is wide.
    let (_, narrow) = work_out(
        &rectangle(10.0),
        &sweep("090 T", "0.5 NM"),
        &Questions::default(),
    );
    let turns = narrow.effort.turns.unwrap();
    assert!(turns.wider_than_spacing && turns.count == 9);
    // Ten legs of 9.5 NM take 57 min at 100 kt, the allowance is a tenth of an hour: 9 turns of 2 min
    // do not fit into it.
    assert!(!turns.within_allowance);
    let (_, wide) = work_out(
        &rectangle(10.0),
        &sweep("090 T", "1.25 NM"),
        &Questions::default(),
    );
    let turns = wide.effort.turns.unwrap();
    assert!(!turns.wider_than_spacing && turns.within_allowance);
    // Three turns, each (π - 2) r longer than its cross-leg.
    let extra_nm = 3.0 * (std::f64::consts::PI - 2.0) * 100.0 / (60.0 * std::f64::consts::PI);
    assert!((turns.extra.nm() - extra_nm).abs() < 1e-6);
}

/// CSP half a spacing inside from both edges of the corner (JP 3-50 Vol I, 1991, p. 180), whatever
/// their angle, by the cross-track distance from the edges' geodesics. In the acute corners of the first
/// area and of the triangle that lie across the legs there is no room for a leg of one spacing.
#[test]
fn start_points_lie_half_a_spacing_inside() {
    let areas: [(&[(f64, f64)], usize); 3] = [
        (&[(20.0, 6.0), (110.0, 9.0), (200.0, 6.0), (290.0, 9.0)], 2),
        (&[(0.0, 8.0), (120.0, 8.0), (240.0, 8.0)], 2),
        // With a corner that points inwards.
        (
            &[
                (0.0, 9.0),
                (90.0, 9.0),
                (150.0, 9.0),
                (180.0, 3.0),
                (210.0, 9.0),
                (270.0, 9.0),
            ],
            5,
        ),
    ];
    for (spokes, begun) in areas {
        for reversed in [false, true] {
            let mut spokes = spokes.to_vec();
            if reversed {
                spokes.reverse();
            }
            let questions = Questions {
                corner_offset: Some(nm(1.5)),
                ..Questions::default()
            };
            let (plan, worked_out) = work_out(
                &corners(48.0, &spokes),
                &sweep("035 T", "0.5 NM"),
                &questions,
            );
            let ring = plan.area.corners();
            let found = &worked_out.start_points.corners;
            assert_eq!(found.len(), ring.len());
            let starts: Vec<_> = found.iter().filter_map(|c| c.start.as_ref()).collect();
            assert_eq!(starts.len(), begun);
            for (i, corner) in found.iter().enumerate() {
                assert_eq!(corner.corner, ring[i]);
                let Some(start) = &corner.start else {
                    let inwards = corner.inside_angle_deg > 180.0;
                    let problem = match inwards {
                        true => NoStart::InwardCorner,
                        false => NoStart::TooNarrow,
                    };
                    assert_eq!(corner.problem, Some(problem));
                    continue;
                };
                let n = ring.len();
                for (a, b) in [
                    (ring[(i + n - 1) % n], ring[i]),
                    (ring[i], ring[(i + 1) % n]),
                ] {
                    let off_m = LegFrame::new(a, b).locate(start.csp).cross_m.abs();
                    // The edges of an area are straight in its plane: centimetres from the geodesic.
                    assert!((off_m - 463.0).abs() < 0.5, "{off_m} at {i}");
                }
                assert!(plan.area.contains(plan.frame.forward(start.csp)));
                // The first leg runs along the axis, either way, into the area.
                let axis = worked_out.axis.course;
                let apart = axis.turn_to(start.course).abs();
                assert!(apart.min(180.0 - apart) < 0.3, "{apart}");
                assert!(start.first_leg.nm() >= 0.5);
                // The run-in stands on its line, outside the edge and the corner by the offset.
                let run_in = start.run_in.unwrap();
                let leg = LegFrame::new(
                    start.csp,
                    geodesic::destination(start.csp, start.course, start.first_leg),
                );
                let at = leg.locate(run_in.from);
                assert!(at.cross_m.abs() < 0.1, "{at:?}");
                assert!((at.along_m + run_in.length.m()).abs() < 0.1);
                assert!(!plan.area.contains(plan.frame.forward(run_in.from)));
                let corner_m = leg.locate(corner.corner).along_m;
                let edge_nm = |back_nm: f64| {
                    let at = geodesic::destination(start.csp, start.course.reversed(), nm(back_nm));
                    plan.area.contains(plan.frame.forward(at))
                };
                // The edge on that line, by halving; the corner's own place where that is farther.
                let (mut inside, mut outside) = (0.0, run_in.length.nm());
                for _ in 0..50 {
                    let middle = f64::midpoint(inside, outside);
                    if edge_nm(middle) {
                        inside = middle;
                    } else {
                        outside = middle;
                    }
                }
                let farther_m = (-corner_m).max(inside * METRES_PER_NM);
                let beyond_m = run_in.length.m() - farther_m;
                assert!((beyond_m - nm(1.5).m()).abs() < 0.5, "{beyond_m}");
            }
        }
    }
}

/// Of a rectangle, by hand: each corner begins with a leg away from its own end, turning towards the
/// other long side; nothing is left over, and one of the points is the start of the plan.
#[test]
fn start_points_of_a_rectangle() {
    let (plan, worked_out) = work_out(
        &rectangle(0.0),
        &sweep("090 T", "1 NM"),
        &Questions::default(),
    );
    // North-east, south-east, south-west, north-west.
    let expected = [
        (270.0, Side::Left),
        (270.0, Side::Right),
        (90.0, Side::Left),
        (90.0, Side::Right),
    ];
    let found = &worked_out.start_points.corners;
    for (corner, (course_deg, turn)) in found.iter().zip(expected) {
        let start = corner.start.as_ref().unwrap();
        assert!(start.course.turn_to(Bearing::from_deg(course_deg)).abs() < 0.1);
        assert_eq!(start.turn, turn);
        assert!((start.first_leg.nm() - 9.0).abs() < 0.002);
        assert!(start.left_over.m() < 5.0 && start.run_in.is_none());
        assert!((corner.inside_angle_deg - 90.0).abs() < 0.1);
    }
    let tasked = plan.legs[0].start;
    let north_west = found[3].start.as_ref().unwrap().csp;
    assert!(geodesic::distance(tasked, north_west).m() < 5.0);
}

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
