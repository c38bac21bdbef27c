//! Probability of detection against the closed forms of search theory.
//!
//! B. O. Koopman, *Search and Screening*, OEG Report 56, 1946; J. N. Eagle, "Lateral Range Curves and
//! Sweepwidth", course notes OA3602, Naval Postgraduate School, 2012, after A. R. Washburn, *Search
//! and Detection*. Figures below are computed from the formula named beside them.

use chrono::{TimeDelta, TimeZone, Utc};
use geo::Coord;
use overflown::coverage::exposure::inverse_cube;
use overflown::coverage::looking::LookingLine;
use overflown::coverage::{Grid, Raster};
use overflown::debrief::{Debrief, debrief};
use overflown::detection::law::{perfect_sweep_pod, pod};
use overflown::detection::{InverseCube, Law, Scanners, View};
use overflown::input::InputFile;
use overflown::plan::{self, Plan};
use overflown::tasking::{self, Tasking};
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::{Fix, HeightKind, Ledger, Reading, Track};
use overflown::units::{Length, Speed};
use std::f64::consts::{FRAC_1_PI, PI};
use std::path::Path;

/// Coverage factor C with, computed: 1 - exp(-C) (random search) and erf(√π/2 · C) (inverse-cube law,
/// ideal parallel sweep), both Koopman 1946; and the lowest POD of that sweep, midway between
/// tracks, 1 - exp(-π C²/4), from the sum Σ 1/(y - iS)² = (π/S)² / sin²(π y/S).
const CHECKPOINTS: [(f64, f64, f64, f64); 8] = [
    (0.25, 0.22120, 0.24597, 0.04790),
    (0.50, 0.39347, 0.46912, 0.17828),
    (0.75, 0.52763, 0.65278, 0.35711),
    (1.00, 0.63212, 0.78991, 0.54406),
    (1.25, 0.71350, 0.88280, 0.70688),
    (1.50, 0.77687, 0.93989, 0.82918),
    (2.00, 0.86466, 0.98781, 0.95679),
    (3.00, 0.95021, 0.99983, 0.99915),
];

/// The law for a width in metres, the height neglected.
fn plain(width_m: f64) -> InverseCube {
    InverseCube::new(Length::from_m(width_m), None)
}

#[test]
fn closed_forms_of_a_perfect_sweep() {
    let mile = Length::from_nm(1.0);
    let perfect_sweep_pod = |law, c: f64| perfect_sweep_pod(law, &plain(c * mile.m()), mile);
    for (c, random, ideal, _) in CHECKPOINTS {
        assert!(
            (perfect_sweep_pod(Law::Exponential, c) - random).abs() < 6e-6,
            "C = {c}"
        );
        assert!(
            (perfect_sweep_pod(Law::InverseCube, c) - ideal).abs() < 6e-6,
            "C = {c}"
        );
        // Definite range: all that is swept is seen, once.
        assert!((perfect_sweep_pod(Law::DefiniteRange, c) - c.min(1.0)).abs() < 1e-12);
    }
}

/// l(x) = 1 - exp(-W²/(4π x²)): Eagle, eq. 5.1 with the height neglected, K = W²/(4π) so that the
/// integral over x is W. Computed from the formula.
#[test]
fn lateral_range_curve() {
    for (x, expected) in [
        (0.10, 0.9997),
        (0.25, 0.7201),
        (0.50, 0.2726),
        (0.75, 0.1319),
        (1.00, 0.0765),
        (1.50, 0.0347),
        (2.00, 0.0197),
        (3.00, 0.0088),
    ] {
        for width in [1.0, 926.0] {
            let endless = 1e7 * width;
            let got = pod(plain(width).exposure(x * width, -endless, endless));
            assert!((got - expected).abs() < 6e-5, "{got} at x = {x} W");
        }
    }
}

/// One straight piece of track: the inverse-cube rate (Koopman 1946) integrated along it. Computed
/// from the integral by quadrature: W, x, s1, s2, exposure, POD.
#[test]
fn pieces_of_track() {
    for (width, x, s1, s2, exposure, seen) in [
        (1.0, 0.5, -1e9, 1e9, FRAC_1_PI, 0.272_623),
        (1.0, 0.5, -5.0, 5.0, 0.316_730, 0.271_473),
        (1.0, 0.5, 0.0, 5.0, 0.158_365, 0.146_462),
        (1.0, 0.5, -1.0, 1.0, 0.284_705, 0.247_764),
        (1.0, 0.5, 1.0, 4.0, 0.015_573, 0.015_453),
        (1.0, 1.0, -2.0, 2.0, 0.071_176, 0.068_702),
        (2.0, 0.5, -3.0, 3.0, 1.255_916, 0.715_185),
        (0.5, 0.25, -0.5, 2.0, 0.300_278, 0.259_388),
    ] {
        let got = plain(width).exposure(x, s1, s2);
        assert!((got - exposure).abs() < 1e-6, "{got} for {exposure}");
        assert!((pod(got) - seen).abs() < 1e-6, "{} for {seen}", pod(got));
    }
}

fn line(passage: usize, from: (f64, f64), to: (f64, f64)) -> LookingLine {
    LookingLine {
        passage,
        line: vec![
            Coord {
                x: from.0,
                y: from.1,
            },
            Coord { x: to.0, y: to.1 },
        ],
    }
}

/// Sweep width is the area under the lateral range curve (Koopman 1946): the raster across one
/// straight pass sums to W. It is cut off at 20 W to each side; beyond lies the tail
/// ∫ K/x² dx = K/(20 W) on each side, 0.8 % of W together with the height neglected.
#[test]
fn a_single_pass_sweeps_its_width() {
    // At a height the same width is spread farther out: the raster's kernel still has it as its area.
    for (width_m, height) in [
        (300.0, None),
        (926.0, None),
        (300.0, Some(500.0)),
        (926.0, Some(1000.0)),
    ] {
        let law = InverseCube::new(Length::from_m(width_m), height.map(Length::from_ft));
        let reach_m = 20.0 * width_m;
        let cell_m = width_m / 50.0;
        let grid = Grid {
            origin: Coord {
                x: -reach_m,
                y: -cell_m / 2.0,
            },
            cell_m,
            columns: (2.0 * reach_m / cell_m).round() as usize,
            rows: 1,
        };
        let pass = line(0, (0.0, -1e4 * width_m), (0.0, 1e4 * width_m));
        let exposure = inverse_cube(&grid, &[pass], &law, View::WHOLE);
        let within_m: f64 = exposure.iter().map(|f| pod(f64::from(*f)) * cell_m).sum();
        let tail_m = 2.0 * law.strength_m2() / reach_m;
        let ratio = (within_m + tail_m) / width_m;
        assert!((ratio - 1.0).abs() < 0.01, "{ratio}");
        // One side looked from sweeps half of it.
        let pass = line(0, (0.0, -1e4 * width_m), (0.0, 1e4 * width_m));
        let exposure = inverse_cube(&grid, &[pass], &law, View::of(Scanners::Left));
        let left_m: f64 = exposure.iter().map(|f| pod(f64::from(*f)) * cell_m).sum();
        assert!(
            (left_m / within_m - 0.5).abs() < 0.01,
            "{left_m} of {within_m}"
        );
    }
}

/// Exposure of an endless lattice, and of one with a line missing, at exact places: midway between
/// lines F = π C²/4; on the missing line F = π C²/12, from Σ 1/i² = π²/6.
#[test]
fn a_lattice_with_and_without_a_line() {
    const LINES: i32 = 2_000;
    let spacing_m = 1000.0;
    for (c, _, _, lowest) in CHECKPOINTS {
        let lattice = |missing: Option<i32>| -> Vec<LookingLine> {
            (-LINES..=LINES)
                .filter(|i| Some(*i) != missing)
                .map(|i| {
                    let x = f64::from(i) * spacing_m;
                    line(i.unsigned_abs() as usize, (x, -1e9), (x, 1e9))
                })
                .collect()
        };
        // Two cells, centred on a line and midway to the next.
        let grid = Grid {
            origin: Coord {
                x: -spacing_m / 4.0,
                y: -spacing_m / 4.0,
            },
            cell_m: spacing_m / 2.0,
            columns: 2,
            rows: 1,
        };
        let seen = |lines: &[LookingLine]| -> Vec<f64> {
            inverse_cube(&grid, lines, &plain(c * spacing_m), View::WHOLE)
                .iter()
                .map(|f| pod(f64::from(*f)))
                .collect()
        };
        // Lines beyond the last ones would add W²/(4π) · 2/(2000 S²) = C²/(4000 π).
        let bound = c * c / (4000.0 * PI) + 1e-5;
        let whole = seen(&lattice(None));
        assert!((whole[0] - 1.0).abs() < 1e-9 && (whole[1] - lowest).abs() < bound);
        let gapped = seen(&lattice(Some(0)));
        let expected = -(-PI * c * c / 12.0).exp_m1();
        assert!(
            (gapped[0] - expected).abs() < bound,
            "{} for {expected}",
            gapped[0]
        );
    }
    // The figure for C = 1, as a number.
    assert!((-(-PI / 12.0f64).exp_m1() - 0.2303).abs() < 5e-5);
}

/// Sixty-one legs of 30 NM at half a mile, over which the sweep looks endless from its middle.
const LEGS: usize = 61;
const SPACING_NM: f64 = 0.5;
/// What one cell may differ from the endless sweep. Legs beyond the last would add the exposure
/// C²/(2π · 30.5), and longer legs as much again: 0.01 at C = 1, of which exp(-F) shows in POD.
const CELL_BOUND: f64 = 0.01;

fn sweep(width_nm: f64, height: &str) -> (Tasking, Plan) {
    let text = format!(
        "sortie = \"Lattice\"\ndate = 2026-06-14\n[pattern]\nkind = \"parallel sweep\"\n\
         start = [-0.25, 20.0]\nfirst_course = \"000 T\"\nturn = \"right\"\n\
         spacing = \"{SPACING_NM} NM\"\nleg_length = \"30 NM\"\nlegs = {LEGS}\n\
         [flight]\nground_speed = \"90 kt\"\n[detection]\nsweep_width = \"{width_nm} NM\"\n{height}\n"
    );
    let path = Path::new("tasking.toml");
    let tasking = tasking::parse(&text, path).unwrap();
    let plan = plan::lay_out(&tasking, path).unwrap();
    (tasking, plan)
}

/// Flies the search legs exactly, wings level; between them the receiver is silent.
fn perfect_track(plan: &Plan, missing: Option<usize>) -> Track {
    let speed = Speed::from_kt(90.0);
    let step_s = 5.0;
    let mut time = Utc.with_ymd_and_hms(2026, 6, 14, 6, 0, 0).unwrap();
    let mut segments = Vec::new();
    for (i, (_, leg)) in plan.search_legs().enumerate() {
        let steps = (leg.length.m() / (speed.mps() * step_s)).round() as usize;
        let fixes = (0..=steps).map(|k| {
            let along = leg.length.m() * k as f64 / steps as f64;
            let after_ms = (k as f64 * step_s * 1000.0) as i64;
            Fix {
                time: time + TimeDelta::milliseconds(after_ms),
                position: leg.at(Length::from_m(along)),
                height: None.into(),
                line: (i * 1000 + k) as u32,
                file: 0,
            }
        });
        if Some(i) != missing {
            segments.push(fixes.collect());
        }
        time += TimeDelta::milliseconds((steps as f64 * step_s * 1000.0) as i64 + 120_000);
    }
    let reading = Reading::of(
        InputFile {
            role: "track".into(),
            name: "perfect.gpx".into(),
            bytes: 0,
            sha256: String::new(),
        },
        None,
        segments,
        HeightKind::MeanSeaLevel,
        Ledger::default(),
    );
    clean(reading, &CleanSettings::default()).unwrap()
}

fn flown(width_nm: f64, height: &str, missing: Option<usize>) -> Debrief {
    let (tasking, plan) = sweep(width_nm, height);
    let track = perfect_track(&plan, missing);
    debrief(&track, Path::new("perfect.gpx"), &tasking, &plan).unwrap()
}

/// Cells of the central strips, five to each side of the middle leg and 5 NM up and down: distance
/// from the middle leg in spacings, and POD.
fn central(raster: &Raster, middle_x_m: f64, middle_y_m: f64) -> Vec<(f64, f64)> {
    let mut cells = Vec::new();
    for row in 0..raster.grid.rows {
        for column in 0..raster.grid.columns {
            let at = raster.grid.centre(column, row);
            let off = (at.x - middle_x_m) / Length::from_nm(SPACING_NM).m();
            if (-5.0..5.0).contains(&off) && (at.y - middle_y_m).abs() < 5.0 * 1852.0 {
                cells.push((off, f64::from(raster.value(column, row))));
            }
        }
    }
    cells
}

fn middle_leg(debrief: &Debrief) -> Coord<f64> {
    let legs: Vec<_> = debrief.plan.legs.iter().step_by(2).collect();
    let leg = legs[LEGS / 2];
    let middle = leg.at(Length::from_m(leg.length.m() / 2.0));
    debrief.coverage.raster.frame.forward(middle)
}

/// The whole way from a track to the raster: over the central strips of a large sweep POD averages
/// to erf(√π/2 · W/S) (Koopman 1946) within half a percentage point, and every cell to the
/// closed form at its place, 1 - exp(-π/4 · C² / sin²(π y/S)).
#[test]
fn the_raster_of_a_perfect_sweep() {
    for c in [0.5, 0.8, 1.0, 1.25, 2.0] {
        let debrief = flown(c * SPACING_NM, "", None);
        let middle = middle_leg(&debrief);
        let cells = central(&debrief.coverage.raster, middle.x, middle.y);
        let mean = cells.iter().map(|cell| cell.1).sum::<f64>() / cells.len() as f64;
        let expected = libm::erf(PI.sqrt() / 2.0 * c);
        assert!(
            (mean - expected).abs() < 0.005,
            "C = {c}: {mean} for {expected}"
        );
        let worst = cells
            .iter()
            .map(|(off, got)| {
                let sine = (PI * off).sin();
                (got + (-PI / 4.0 * c * c / (sine * sine)).exp_m1()).abs()
            })
            .fold(0.0, f64::max);
        assert!(worst < CELL_BOUND, "C = {c}: a cell is {worst} off");
        assert!((debrief.coverage.planned_pod.inverse_cube - expected).abs() < 1e-6);
        assert!(debrief.strips.iter().all(|strip| !strip.needs_refly()));
    }
}

/// The same with the height kept: every cell against Σ K/((y - iS)² + h²), here summed over the legs one
/// by one, and the mean against that sum averaged over the strip. K for W = S = 0.5 NM and h = 500 ft and
/// 1500 ft by mpmath 1.x (PyPI): `findroot` on W = πK/h · e^-a (I₀(a) + I₁(a)), a = K/(2h²).
#[test]
fn the_raster_with_the_height_kept() {
    for (feet, strength_nm2) in [
        (500.0, 0.023_690_367_543_952),
        (1500.0, 0.046_789_847_112_232),
    ] {
        let debrief = flown(SPACING_NM, &format!("search_height = \"{feet} ft\""), None);
        let middle = middle_leg(&debrief);
        let cells = central(&debrief.coverage.raster, middle.x, middle.y);
        let height_nm = Length::from_ft(feet).nm();
        let expected = |off: f64| {
            let ranges = (-2_000..=2_000).map(|i| (off - f64::from(i)) * SPACING_NM);
            let exposure: f64 = ranges
                .map(|x_nm| strength_nm2 / (x_nm * x_nm + height_nm * height_nm))
                .sum();
            -(-exposure).exp_m1()
        };
        let worst = cells
            .iter()
            .map(|(off, got)| (got - expected(*off)).abs())
            .fold(0.0, f64::max);
        assert!(worst < CELL_BOUND, "{feet} ft: a cell is {worst} off");
        let mean = cells.iter().map(|cell| cell.1).sum::<f64>() / cells.len() as f64;
        let over_strip = (0..1000).map(|k| expected((f64::from(k) + 0.5) / 1000.0));
        let expected = over_strip.sum::<f64>() / 1000.0;
        // Legs beyond the last would add 2 K/(30.5 S²), longer ones as much again at most; of that
        // e^-F shows, on average 1 - POD.
        let lacking = 4.0 * strength_nm2 / (30.5 * SPACING_NM * SPACING_NM) * (1.0 - expected);
        assert!(
            (mean - expected).abs() < lacking,
            "{mean} for {expected}, {lacking} may be lacking"
        );
        let planned = debrief.coverage.planned_pod.inverse_cube;
        assert!(
            (planned - expected).abs() < 1e-4,
            "{planned} for {expected}"
        );
        // It matters: the height neglected gives 0.79.
        assert!(planned < 0.78);
    }
}

/// The middle leg left out: what its own line would add, W²/(4π y²), is missing at every place, and
/// on the line itself POD is 1 - exp(-π C²/12).
#[test]
fn the_raster_with_a_leg_missing() {
    let c = 1.0;
    let debrief = flown(c * SPACING_NM, "", Some(LEGS / 2));
    let middle = middle_leg(&debrief);
    let cells = central(&debrief.coverage.raster, middle.x, middle.y);
    let mut on_the_line = Vec::new();
    for (off, got) in cells {
        let sine = (PI * off).sin();
        let exposure = PI / 4.0 * c * c / (sine * sine) - c * c / (4.0 * PI * off * off);
        let expected = -(-exposure).exp_m1();
        assert!(
            (got - expected).abs() < CELL_BOUND,
            "{got} for {expected} at {off} S"
        );
        if off.abs() <= 0.05 {
            on_the_line.push(got);
        }
    }
    let mean = on_the_line.iter().sum::<f64>() / on_the_line.len() as f64;
    let expected = -(-PI * c * c / 12.0).exp_m1();
    assert!(
        (mean - expected).abs() < CELL_BOUND,
        "{mean} for {expected}"
    );
    let holes: Vec<&str> = debrief
        .strips
        .iter()
        .filter(|strip| strip.needs_refly())
        .map(|strip| strip.leg.as_str())
        .collect();
    assert_eq!(holes, ["31"]);
}
