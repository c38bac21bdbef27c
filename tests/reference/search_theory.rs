//! Search theory in its closed forms, through the search of several sorties and through the raster.

use super::montecarlo::{Random, sortie_of, square};
use geo::Coord;
use overflown::coverage::Grid;
use overflown::coverage::look::Look;
use overflown::coverage::looking::LookingLine;
use overflown::detection::{InverseCube, Law, View};
use overflown::search::combine::combine;
use overflown::search::{Ground, Wants, search};
use overflown::units::Length;

/// POC 0.5, 0.3, 0.2, and a POD of 0.7 in the first sub-area alone: POS = POC · POD (IAMSAR Manual Vol II ch. 4), and
/// by Bayes' rule, computed by hand: POS 0.35; POC left 0.15, 0.30, 0.20 of 0.65, which are 0.2308, 0.4615, 0.3077.
#[test]
fn the_worked_example_as_a_search() {
    // Random search by one pass in each strip: POD = 1 - exp(-W/S) = 0.7 for W/S = -ln 0.3 = 1.203973, S = 0.5 NM.
    let sortie = sortie_of("sweep_width = \"0.6019864 NM\"\nlaw = \"exponential\"");
    // The first lies within a quarter of S of the second leg, the others 45 and 90 NM north of all that was flown.
    let middle = sortie.plan.legs[2].start.lon();
    let half = 0.25 * 0.5 / 60.0 / 10.0f64.to_radians().cos();
    let part = |name: &str, south: f64, poc| {
        square(
            name,
            (south, south + 0.02),
            (middle - half, middle + half),
            poc,
        )
    };
    let wants = Wants {
        parts: vec![
            part("1", 10.02, 0.5),
            part("2", 10.8, 0.3),
            part("3", 11.55, 0.2),
        ],
        ..Wants::default()
    };
    let result = search(vec![sortie.clone()], &wants).unwrap();
    let near =
        |got: f64, expected: f64| assert!((got - expected).abs() < 1e-6, "{got} for {expected}");
    for (i, (pod, left)) in [(0.7, 0.15), (0.0, 0.3), (0.0, 0.2)]
        .into_iter()
        .enumerate()
    {
        near(result.sub_areas[i].pod, pod);
        near(result.sub_areas[i].poc_left, left);
    }
    near(result.pos, 0.35);
    near(result.poc_left, 0.65);
    near(result.poc_elsewhere, 0.0);
    let shares = result
        .sub_areas
        .iter()
        .map(|s| format!("{:.4}", s.poc_left_normalised));
    assert_eq!(shares.collect::<Vec<_>>(), ["0.2308", "0.4615", "0.3077"]);
    // With a tenth elsewhere, which no sortie can find: 0.15, 0.30, 0.10 of 0.65.
    let wants = Wants {
        parts: vec![
            part("1", 10.02, 0.5),
            part("2", 10.8, 0.3),
            part("3", 11.55, 0.1),
        ],
        ..wants
    };
    let result = search(vec![sortie], &wants).unwrap();
    near(result.poc_elsewhere, 0.1);
    near(result.sub_areas[2].poc_left_normalised, 0.1 / 0.65);
}

/// n equal independent looks: 1 - (1 - p)^n (Koopman 1946), cell by cell and over the ground, under every law.
#[test]
fn n_equal_coverages_through_rasters() {
    for law in ["inverse cube", "exponential", "definite range"] {
        let sortie = sortie_of(&format!("sweep_width = \"0.3 NM\"\nlaw = \"{law}\""));
        let ground = Ground::new(
            &[square("A", (10.005, 10.06), (20.0, 20.03), 1.0)],
            Length::from_nm(0.5),
            Length::from_nm(0.3),
        )
        .unwrap();
        let times = |n: usize| combine(&ground, &vec![sortie.clone(); n]);
        let once = times(1).pod;
        for n in [2usize, 3, 5] {
            let combined = times(n);
            let mut sum = (0.0, 0u32);
            for (one, all) in once
                .iter()
                .zip(&combined.pod)
                .filter(|(one, _)| !one.is_nan())
            {
                let expected = 1.0 - (1.0 - one).powi(n as i32);
                assert!(
                    (all - expected).abs() < 1e-5,
                    "{law}, {n}: {all} for {expected}"
                );
                sum = (sum.0 + f64::from(expected), sum.1 + 1);
            }
            let mean = sum.0 / f64::from(sum.1);
            let got = combined.steps[n - 1].cumulative.pod;
            assert!((got - mean).abs() < 1e-5, "{law}, {n}: {got} for {mean}");
            assert!(mean > 0.3 && mean < 0.9999, "{law}: {mean} tells nothing");
        }
    }
}

/// Tracks at random over the ground, each line as likely as any other (its distance from the middle and its direction
/// uniform): POD = 1 - exp(-C), C = W L/A, whatever the lateral range curve (Koopman 1946, random search). By a finite
/// number n of lines (1 - C/n)^n is left, which is e^-C but for e^-C C²/(2n).
#[test]
fn random_tracks_give_random_search() {
    const SEEDS: u64 = 120;
    let width_m = 1000.0;
    // Lines pass within 100 W of the middle; the ground is 30 W wide, so none that matters is missing.
    let reach_m = 100.0 * width_m;
    let side_m = 30.0 * width_m;
    let cells = 60usize;
    let grid = Grid {
        origin: Coord {
            x: -side_m / 2.0,
            y: -side_m / 2.0,
        },
        cell_m: side_m / cells as f64,
        columns: cells,
        rows: cells,
    };
    for (law, factor) in [
        (Law::InverseCube, 0.5),
        (Law::InverseCube, 1.0),
        (Law::InverseCube, 2.0),
        (Law::DefiniteRange, 0.5),
        (Law::DefiniteRange, 1.0),
        (Law::DefiniteRange, 2.0),
    ] {
        let look = Look {
            law,
            inverse_cube: InverseCube::new(Length::from_m(width_m), None),
            spacing_m: width_m,
            view: View::WHOLE,
        };
        // The chords of a disc of the radius R have the mean length π R/2, so L/A = n/(2R).
        let count = (2.0 * reach_m * factor / width_m).round() as usize;
        let means: Vec<f64> = (0..SEEDS)
            .map(|seed| {
                let mut random = Random(7919 * (seed + 1) + count as u64);
                for _ in 0..10 {
                    random.next();
                }
                let lines: Vec<LookingLine> = (0..count)
                    .map(|passage| {
                        let (sin, cos) = (std::f64::consts::TAU * random.next()).sin_cos();
                        let off_m = reach_m * (2.0 * random.next() - 1.0);
                        let at = |along_m: f64| Coord {
                            x: off_m * cos - along_m * sin,
                            y: off_m * sin + along_m * cos,
                        };
                        LookingLine {
                            passage,
                            line: vec![at(-4.0 * reach_m), at(4.0 * reach_m)],
                        }
                    })
                    .collect();
                let exposure = look.exposure(&grid, &lines);
                let pods = exposure.iter().map(|f| -f64::from(-f).exp_m1());
                pods.sum::<f64>() / exposure.len() as f64
            })
            .collect();
        let n = SEEDS as f64;
        let mean = means.iter().sum::<f64>() / n;
        let spread = means.iter().map(|m| (m - mean) * (m - mean)).sum::<f64>() / (n - 1.0);
        let error = (spread / n).sqrt();
        let expected = 1.0 - (-factor).exp();
        // Few lines, and the tails of those farther off than R, 2K/R = W²/(2π R) of W each.
        let tails = if law == Law::InverseCube {
            width_m / (2.0 * std::f64::consts::PI * reach_m)
        } else {
            0.0
        };
        let known = (-factor).exp() * (factor * factor / (2.0 * count as f64) + factor * tails);
        assert!(
            (mean - expected).abs() < 3.0 * error + known,
            "{law:?}, C = {factor}: {mean} ± {error} for {expected}"
        );
        assert!(error < 0.008, "{error}");
        // Neither that of the ideal sweep nor that of one without overlap.
        let ideal = libm::erf(std::f64::consts::PI.sqrt() / 2.0 * factor);
        assert!(
            (mean - ideal).abs() > 3.0 * error || factor < 1.0,
            "{mean} {ideal}"
        );
    }
}
