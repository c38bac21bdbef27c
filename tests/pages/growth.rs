//! The coverage that a replay shows growing, against that of the whole flight.

use crate::samples::{names, sample};

/// After the last step every cell has the POD of the raster there: the same lines, added up passage by passage. What lies far
/// off is interpolated in both, to 0.0005 of POD at most.
#[test]
fn grows_to_what_the_flight_left() {
    for name in names() {
        let debrief = sample(&name);
        let (growth, raster) = (&debrief.growth, &debrief.coverage.raster);
        let last = growth.pod.last().unwrap();
        let mut compared = 0;
        for row in 0..growth.grid.rows {
            for column in 0..growth.grid.columns {
                let at = growth.grid.centre(column, row);
                let fine =
                    |m: f64, origin: f64| ((m - origin) / raster.grid.cell_m).floor() as usize;
                let there = raster.value(
                    fine(at.x, raster.grid.origin.x),
                    fine(at.y, raster.grid.origin.y),
                );
                let here = last[row * growth.grid.columns + column];
                assert_eq!(here.is_nan(), there.is_nan(), "{name}: {column}, {row}");
                if !here.is_nan() {
                    compared += 1;
                    assert!((here - there).abs() < 2e-3, "{name}: {here} {there}");
                }
            }
        }
        assert!(compared > 300, "{name}: {compared}");
    }
}

/// Nothing is unseen again, and at half time some is still to come.
#[test]
fn never_shrinks() {
    for name in names() {
        let growth = sample(&name).growth;
        assert_eq!(growth.ends_s.len(), growth.pod.len());
        assert!(growth.ends_s.windows(2).all(|pair| pair[0] < pair[1]));
        for pair in growth.pod.windows(2) {
            for (before, after) in pair[0].iter().zip(&pair[1]) {
                // The lines of a passage are thinned afresh as it grows.
                assert!(
                    before.is_nan() || *after >= *before - 0.02,
                    "{name}: {before} {after}"
                );
            }
        }
        let mean = |pod: &[f32]| {
            let inside = pod.iter().filter(|pod| !pod.is_nan());
            inside.clone().sum::<f32>() / inside.count() as f32
        };
        let half = mean(&growth.pod[growth.pod.len() / 2]);
        let whole = mean(growth.pod.last().unwrap());
        assert!(
            half > 0.2 * whole && half < 0.9 * whole,
            "{name}: {half} of {whole}"
        );
    }
}
