//! Along-track and cross-track distance against a geodesic minimisation by geographiclib.
//!
//! Reference: C. F. F. Karney, "Algorithms for geodesics", Journal of Geodesy 87 (2013) 43-55,
//! DOI 10.1007/s00190-012-0578-z, accuracy about 15 nanometres. Nothing of the library's own geodesy
//! is used on that side: `geographiclib_rs` is called directly.

use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};
use overflown::geodesy::{LegFrame, Position};
use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

const METRES_PER_NM: f64 = 1852.0;
/// What is promised for legs up to 50 NM and cross-track errors up to 2 NM.
const PROMISED_M: f64 = 0.01;
/// Legs drawn; each is looked at from several places.
const LEGS: usize = 400;
const FIXES_PER_LEG: usize = 10;

struct Leg {
    lat: f64,
    lon: f64,
    course_deg: f64,
    length_m: f64,
}

impl Leg {
    /// Place and direction of the leg's geodesic, which runs on past both ends.
    fn at(&self, wgs84: &Geodesic, along_m: f64) -> (f64, f64, f64) {
        wgs84.direct(self.lat, self.lon, self.course_deg, along_m)
    }

    fn frame(&self, wgs84: &Geodesic) -> LegFrame {
        let (lat, lon, _) = self.at(wgs84, self.length_m);
        LegFrame::new(place(self.lat, self.lon), place(lat, lon))
    }
}

fn place(lat: f64, lon: f64) -> Position {
    Position::new(lat, lon).unwrap()
}

/// The point of the leg's geodesic nearest to (lat, lon): distance along the leg and distance from
/// it, right positive, metres.
///
/// The slope of the distance at a point of the geodesic is minus the cosine of the angle between
/// the geodesic and the way to the fix; Newton's method on it converges to a nanometre, where a
/// search on the distance itself, flat at its minimum, would end at centimetres.
fn nearest(wgs84: &Geodesic, leg: &Leg, lat: f64, lon: f64, guess_m: f64) -> (f64, f64) {
    let mut along_m = guess_m;
    let mut cross_m = 0.0;
    for _ in 0..20 {
        let (at_lat, at_lon, course) = leg.at(wgs84, along_m);
        let (distance_m, azimuth, _, _): (f64, f64, f64, f64) =
            wgs84.inverse(at_lat, at_lon, lat, lon);
        let angle = (azimuth - course).to_radians();
        cross_m = distance_m * angle.sin();
        let step_m = distance_m * angle.cos();
        along_m += step_m;
        if step_m.abs() < 1e-7 {
            break;
        }
    }
    // That it is the minimum, by the distance alone.
    let distance_from = |along_m: f64| -> f64 {
        let (at_lat, at_lon, _) = leg.at(wgs84, along_m);
        wgs84.inverse(at_lat, at_lon, lat, lon)
    };
    let least_m = distance_from(along_m);
    assert!((least_m - cross_m.abs()).abs() < 1e-6);
    assert!(least_m < distance_from(along_m - 30.0) && least_m < distance_from(along_m + 30.0));
    (along_m, cross_m)
}

fn legs(seed: u64) -> Vec<Leg> {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    (0..LEGS)
        .map(|i| Leg {
            // Legs may run on past 80° by their own length.
            lat: rng.random_range(-80.0..80.0),
            // Every fourth leg lies at the antimeridian.
            lon: if i % 4 == 0 {
                179.95 + rng.random_range(-0.3..0.05)
            } else {
                rng.random_range(-180.0..180.0)
            },
            course_deg: rng.random_range(0.0..360.0),
            length_m: rng.random_range(0.2..50.0) * METRES_PER_NM,
        })
        .collect()
}

/// Fixes beside the leg and up to 2 NM past its ends.
#[test]
fn within_a_centimetre_of_the_geodesic() {
    let wgs84 = Geodesic::wgs84();
    let mut rng = ChaCha8Rng::seed_from_u64(2);
    let (mut worst_along, mut worst_cross) = (0.0f64, 0.0f64);
    let mut crossed_antimeridian = 0;
    for leg in legs(1) {
        let frame = leg.frame(&wgs84);
        for _ in 0..FIXES_PER_LEG {
            let margin_m = 2.0 * METRES_PER_NM;
            let abeam_m = rng.random_range(-margin_m..leg.length_m + margin_m);
            let off_m = rng.random_range(0.0..2.0 * METRES_PER_NM);
            let direction = rng.random_range(0.0..360.0);
            let (lat, lon, _) = leg.at(&wgs84, abeam_m);
            let (lat, lon): (f64, f64) = wgs84.direct(lat, lon, direction, off_m);
            let (along_m, cross_m) = nearest(&wgs84, &leg, lat, lon, abeam_m);
            let got = frame.locate(place(lat, lon));
            let (off_along, off_cross) = (got.along_m - along_m, got.cross_m - cross_m);
            assert!(
                off_along.abs() < PROMISED_M && off_cross.abs() < PROMISED_M,
                "{off_along} m along, {off_cross} m across from {} {} on {} for {} m, fix {lat} {lon}",
                leg.lat,
                leg.lon,
                leg.course_deg,
                leg.length_m,
            );
            worst_along = worst_along.max(off_along.abs());
            worst_cross = worst_cross.max(off_cross.abs());
            crossed_antimeridian += usize::from((lon - leg.lon).abs() > 180.0);
        }
    }
    // Far better than promised: micrometres. A tenth of a millimetre would be a fault come in.
    assert!(
        worst_along.max(worst_cross) < 1e-4,
        "worst: {worst_along} m along, {worst_cross} m across"
    );
    assert!(crossed_antimeridian > 100, "{crossed_antimeridian}");
}

/// A fix set out square to the leg by the direct problem is found where it was put, on its side.
#[test]
fn sides_and_distances_of_fixes_set_out_square() {
    let wgs84 = Geodesic::wgs84();
    for (number, leg) in legs(3).iter().enumerate() {
        let frame = leg.frame(&wgs84);
        for (share, cross_m) in [(0.0, 3704.0), (0.5, -926.0), (1.0, -3704.0), (1.02, 50.0)] {
            let along_m = share * leg.length_m;
            let (lat, lon, course) = leg.at(&wgs84, along_m);
            let (lat, lon): (f64, f64) = wgs84.direct(lat, lon, course + 90.0, cross_m);
            let got = frame.locate(place(lat, lon));
            assert!(
                (got.cross_m - cross_m).abs() < PROMISED_M
                    && (got.along_m - along_m).abs() < PROMISED_M,
                "leg {number}: {got:?} for {along_m} {cross_m}"
            );
        }
    }
}

/// The course along the leg is interpolated between stations; a thousandth of a degree is far
/// below what the reports show.
#[test]
fn course_along_the_leg() {
    const BOUND_DEG: f64 = 0.001;
    let wgs84 = Geodesic::wgs84();
    for leg in legs(4) {
        let frame = leg.frame(&wgs84);
        assert!((frame.length().m() - leg.length_m).abs() < 1e-6);
        for step in 0..=20 {
            let along_m = leg.length_m * f64::from(step) / 20.0;
            let (lat, lon, course) = leg.at(&wgs84, along_m);
            let off = frame.course_at(along_m).deg() - course;
            let off = (off + 540.0).rem_euclid(360.0) - 180.0;
            assert!(off.abs() < BOUND_DEG, "{off}° at {lat} {lon}");
        }
    }
}
