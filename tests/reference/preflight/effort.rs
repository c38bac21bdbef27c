//! Distance, time and area; spacing for a POD; turns.

use super::{METRES_PER_NM, nm, rectangle, sweep, work_out};
use approx::assert_relative_eq;
use overflown::detection::inverse::coverage_factor_for;
use overflown::detection::law::mid_strip_pod;
use overflown::detection::{InverseCube, View};
use overflown::preflight::Questions;
use overflown::preflight::effort::{
    aircraft_for, area_in, spacing_for, standard_turn_radius, time_for, turn_way,
};
use overflown::tasking::Law;
use overflown::units::{Length, Speed};

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
