//! Where legs begin and end.
//!
//! Of a leg's end the log tells an interval: from the last fix on the leg to the next, which is none of it any
//! more. The place that lies least outside all these intervals is the median of all their ends:
//! Σ dist(x, [a, b]) = ½ Σ (|x - a| + |x - b| - (b - a)). Fixes a second apart make it the median of the ends,
//! fixes a minute apart what all legs together leave open.

use crate::statistics::student_95;

/// Median absolute deviation to standard deviation of normal errors.
const MAD_TO_SD: f64 = 1.4826;
/// Standard error of a median, in standard errors of a mean: √(π/2), of normal errors.
const MEDIAN_TO_MEAN: f64 = 1.2533;

/// Where one leg ends: between these places along it.
pub(super) type Ends = (f64, f64);

/// The place where legs end.
#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    pub(super) at_m: f64,
    /// Half of what the fixes leave open.
    pub(super) open_m: f64,
    /// Scatter of single legs about it, standard deviation.
    pub(super) scatter_m: f64,
}

/// How far a place lies outside an interval.
pub(super) fn outside(at_m: f64, (low, high): Ends) -> f64 {
    (low - at_m).max(at_m - high).max(0.0)
}

/// The place least outside all these intervals, of which there is at least one; half of the interval that they
/// leave open, and the standard deviation of single ends about it.
pub(super) fn edge(ends: &[Ends]) -> Edge {
    let mut all: Vec<f64> = ends.iter().flat_map(|(low, high)| [*low, *high]).collect();
    all.sort_by(f64::total_cmp);
    // An even number: anything between the middle two does as well.
    let (low, high) = (all[ends.len() - 1], all[ends.len()]);
    let at_m = f64::midpoint(low, high);
    let mut off: Vec<f64> = ends.iter().map(|end| outside(at_m, *end)).collect();
    off.sort_by(f64::total_cmp);
    Edge {
        at_m,
        open_m: (high - low) / 2.0,
        scatter_m: MAD_TO_SD * off[off.len() / 2],
    }
}

/// Half of the 95 % interval of the first of two edges of the same `legs`, which are taken to scatter alike, but
/// for what the turns hide.
pub(super) fn interval_m(edge: &Edge, other: &Edge, legs: usize) -> f64 {
    let scatter_m = ((edge.scatter_m.powi(2) + other.scatter_m.powi(2)) / 2.0).sqrt();
    let t = student_95((2 * legs).saturating_sub(2).max(1));
    edge.open_m + MEDIAN_TO_MEAN * t * scatter_m / (legs as f64).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: ends known exactly give their median, ends known between fixes what they leave open.
    #[test]
    fn the_place_least_outside() {
        let exact = edge(&[(1.0, 1.0), (3.0, 3.0), (2.0, 2.0), (90.0, 90.0), (2.5, 2.5)]);
        assert!((exact.at_m - 2.5).abs() < 1e-12, "{exact:?}");
        let open = edge(&[(0.0, 60.0), (20.0, 80.0), (-30.0, 30.0), (28.0, 88.0)]);
        assert!(
            (open.at_m - 29.0).abs() < 1e-12 && open.open_m <= 1.0,
            "{open:?}"
        );
        assert!(open.scatter_m.abs() < 1e-12);
    }
}
