//! Intervals of figures whose distribution is not known, by drawing the sample anew (B. Efron, Bootstrap Methods: Another Look at the Jackknife, The
//! Annals of Statistics 7 (1979)).

use super::rank::{quantile, sorted};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// How often the sample is drawn. Chosen: its bounds then waver by a few hundredths of their distance.
const DRAWS: usize = 2000;

/// The interval of 95 % of a figure over groups of values: flights of legs. Legs of one flight have a day in common, so flights are drawn, and
/// legs within them. The same values give the same interval. `None` with fewer than two values.
pub(crate) fn interval(
    groups: &[Vec<f64>],
    figure: impl Fn(&mut Vec<f64>) -> Option<f64>,
) -> Option<(f64, f64)> {
    let groups: Vec<&Vec<f64>> = groups.iter().filter(|group| !group.is_empty()).collect();
    if groups.iter().map(|group| group.len()).sum::<usize>() < 2 {
        return None;
    }
    let mut rng = ChaCha8Rng::seed_from_u64(0);
    let mut drawn = Vec::new();
    let figures = (0..DRAWS).filter_map(|_| {
        drawn.clear();
        for _ in 0..groups.len() {
            let group = groups[rng.random_range(0..groups.len())];
            drawn.extend((0..group.len()).map(|_| group[rng.random_range(0..group.len())]));
        }
        figure(&mut drawn)
    });
    let figures = sorted(figures.collect::<Vec<_>>().into_iter());
    Some((quantile(&figures, 0.025)?, quantile(&figures, 0.975)?))
}
