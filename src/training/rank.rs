//! Middles, quantiles and sizes of values.

/// The values in order, without what is no number.
pub(crate) fn sorted(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut values: Vec<f64> = values.filter(|value| !value.is_nan()).collect();
    values.sort_by(f64::total_cmp);
    values
}

/// The median; `None` of nothing.
pub(crate) fn median(values: impl Iterator<Item = f64>) -> Option<f64> {
    quantile(&sorted(values), 0.5)
}

/// The quantile of sorted values, straight between them: the definition 7 of R. J. Hyndman and Y. Fan, Sample Quantiles in Statistical
/// Packages, The American Statistician 50 (1996), which scipy and numpy use.
pub(crate) fn quantile(sorted: &[f64], share: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let at = share.clamp(0.0, 1.0) * last as f64;
    let low = at.floor() as usize;
    let (a, b) = (sorted[low], sorted[(low + 1).min(last)]);
    Some(a + (at - at.floor()) * (b - a))
}

/// The root mean square; `None` of nothing.
pub(crate) fn root_mean_square(values: &[f64]) -> Option<f64> {
    let squares: f64 = values.iter().map(|value| value * value).sum();
    (!values.is_empty()).then(|| (squares / values.len() as f64).sqrt())
}
