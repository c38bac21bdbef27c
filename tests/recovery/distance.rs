//! Detection by distance from the datum, against closed forms summed here.

use crate::support::fly;
use overflown::coverage::Ring;
use overflown::simulate::Fault;
use std::f64::consts::{PI, TAU};

const RADIUS_NM: f64 = 6.0;
const WIDTH_NM: f64 = 1.0;

fn sector(law: &str) -> String {
    format!(
        "sortie = \"Heron 3\"\ndate = 2026-05-20\n[pattern]\nkind = \"sector\"\n\
         datum = [46.4000, 11.2000]\nfirst_course = \"010 T\"\nturn = \"right\"\n\
         radius = \"{RADIUS_NM} NM\"\n[flight]\nground_speed = \"90 kt\"\n\
         [detection]\nsweep_width = \"{WIDTH_NM} NM\"\nlaw = \"{law}\"\n"
    )
}

fn rings(law: &str, faults: Vec<Fault>) -> Vec<Ring> {
    let flown = fly(&sector(law), faults, 5);
    flown.debrief.coverage.by_distance.unwrap().rings
}

/// A leg in polar coordinates about the datum, degrees and NM, as a segment in a plane.
type Segment = ((f64, f64), (f64, f64));

fn at(deg: f64, r: f64) -> (f64, f64) {
    let (sin, cos) = deg.to_radians().sin_cos();
    (r * sin, r * cos)
}

/// The seven legs of a sector search with six sectors, turning right (IAMSAR Manual Vol II ch. 5):
/// three spokes through the datum and three legs across the rim.
fn legs() -> Vec<Segment> {
    let r = RADIUS_NM;
    vec![
        (at(0.0, 0.0), at(0.0, r)),
        (at(0.0, r), at(60.0, r)),
        (at(60.0, r), at(240.0, r)),
        (at(240.0, r), at(300.0, r)),
        (at(300.0, r), at(120.0, r)),
        (at(120.0, r), at(180.0, r)),
        (at(180.0, r), at(0.0, 0.0)),
    ]
}

/// Exposure by the inverse-cube law of a segment: W²/(8π x²) · [s/√(x²+s²)] between its ends (Koopman,
/// *Search and Screening*, 1946).
fn exposure((a, b): Segment, p: (f64, f64)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = dx.hypot(dy);
    let along = ((p.0 - a.0) * dx + (p.1 - a.1) * dy) / length;
    let x = ((p.0 - a.0) * dy - (p.1 - a.1) * dx) / length;
    let end = |s: f64| s / x.hypot(s);
    WIDTH_NM * WIDTH_NM / (8.0 * PI * x * x) * (end(length - along) - end(-along))
}

/// Mean of `value` over a ring, by places spread evenly over its ground.
fn over_ring(from: f64, to: f64, value: impl Fn((f64, f64)) -> f64) -> f64 {
    let (circles, places) = (40, 1440);
    let mut sum = 0.0;
    for i in 0..circles {
        let share = (f64::from(i) + 0.5) / f64::from(circles);
        let r = (from * from + share * (to * to - from * from)).sqrt();
        for j in 0..places {
            sum += value(at((f64::from(j) + 0.37) * 360.0 / f64::from(places), r));
        }
    }
    sum / f64::from(circles * places)
}

/// What a mean over cell centres may be off: POD changes by tenths across a cell beside a track, and there
/// are so many cells.
fn sampling(ring: &Ring) -> f64 {
    0.01 + 3.0 / ring.cells as f64
}

#[test]
fn planned_rings_agree_with_the_closed_forms() {
    let cube = rings("inverse cube", vec![]);
    assert_eq!(cube.len(), 10);
    for ring in &cube {
        let theory = over_ring(ring.from.nm(), ring.to.nm(), |p| {
            1.0 - (-legs().iter().map(|leg| exposure(*leg, p)).sum::<f64>()).exp()
        });
        let planned = ring.planned_pod.unwrap();
        assert!(
            (planned - theory).abs() < sampling(ring),
            "{ring:?}: {theory}"
        );
        // Flown with care it is what was planned, but for the turns at the rim.
        let flown = ring.mean_pod.unwrap();
        assert!((planned - flown).abs() < 0.05, "{ring:?}");
    }
    // From the datum outward it falls, up to where the legs across the rim add to it: their middles lie
    // at 0.87 of the radius.
    for pair in cube[..7].windows(2) {
        assert!(pair[1].planned_pod < pair[0].planned_pod, "{pair:?}");
    }
    // Definite range: on a circle of radius r each of the six spokes sweeps an arc of 2 asin(W/2r),
    // which part where 2 r sin 30° is more than W; the rim's legs stay away from r < 0.87 R - W/2.
    let definite = rings("definite range", vec![]);
    for ring in &definite[2..7] {
        let theory = over_ring(ring.from.nm(), ring.to.nm(), |p| {
            let r = p.0.hypot(p.1);
            6.0 * 2.0 * (WIDTH_NM / 2.0 / r).asin() / TAU
        });
        let planned = ring.planned_pod.unwrap();
        assert!(
            (planned - theory).abs() < sampling(ring),
            "{ring:?}: {theory}"
        );
    }
    // The rings are the circle, but for cells cut by its edge.
    let area: f64 = cube.iter().map(|ring| ring.area_m2).sum();
    let circle = PI * (RADIUS_NM * 1852.0).powi(2);
    assert!((area / circle - 1.0).abs() < 0.005, "{}", area / circle);
}

/// What is left out is missing from where it lay.
#[test]
fn a_spoke_left_out_shows_in_the_rings() {
    let all = rings("inverse cube", vec![]);
    let fewer = rings("inverse cube", vec![Fault::SkipLeg(3)]);
    for (all, fewer) in all.iter().zip(&fewer) {
        assert_eq!(all.planned_pod, fewer.planned_pod);
    }
    let lost: f64 = all[2..8]
        .iter()
        .zip(&fewer[2..8])
        .map(|(all, fewer)| all.mean_pod.unwrap() - fewer.mean_pod.unwrap())
        .sum();
    assert!(lost > 0.3, "{lost}");
}
