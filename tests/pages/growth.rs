//! The coverage that a replay shows growing, against that of the whole flight.

use crate::samples::{names, sample};
use overflown::coverage::growth::{OUTSIDE, SHARES};

/// After the last step every cell has the POD of the raster there, rounded to a 64th: the same lines, thinned further and added up
/// piece by piece. That moves a cell by 0.004 at most (`reference/thinning.rs`), and what lies far off is interpolated in both,
/// to 0.0005.
#[test]
fn grows_to_what_the_flight_left() {
    for name in names() {
        let debrief = sample(&name);
        let (growth, raster) = (&debrief.growth, &debrief.coverage.raster);
        let last = growth.shares.last().unwrap();
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
                assert_eq!(here == OUTSIDE, there.is_nan(), "{name}: {column}, {row}");
                if here != OUTSIDE {
                    compared += 1;
                    let here = f32::from(here) / f32::from(SHARES);
                    let half = 0.5 / f32::from(SHARES);
                    assert!((here - there).abs() < half + 5e-3, "{name}: {here} {there}");
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
        assert_eq!(growth.ends_s.len(), growth.shares.len());
        assert!(growth.ends_s.windows(2).all(|pair| pair[0] < pair[1]));
        for pair in growth.shares.windows(2) {
            for (before, after) in pair[0].iter().zip(&pair[1]) {
                assert!(after >= before, "{name}: {before} {after}");
            }
        }
        let mean = |shares: &[u8]| {
            let inside = shares.iter().filter(|share| **share != OUTSIDE);
            inside.clone().map(|share| f64::from(*share)).sum::<f64>() / inside.count() as f64
        };
        let half = mean(&growth.shares[growth.shares.len() / 2]);
        let whole = mean(growth.shares.last().unwrap());
        assert!(
            half > 0.2 * whole && half < 0.9 * whole,
            "{name}: {half} of {whole}"
        );
    }
}
