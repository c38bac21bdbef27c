//! Randomness that remembers: a first-order Gauss-Markov process, sampled exactly.
//!
//! x(t+Δ) = a·x(t) + σ·√(1-a²)·n with a = exp(-Δ/T) and n standard normal: standard deviation σ and
//! autocorrelation exp(-Δ/T) whatever the step (the exact solution of the Ornstein-Uhlenbeck
//! equation; D. T. Gillespie, Physical Review E 54 (1996) 2084, from memory).

use rand::Rng;
use rand_distr::{Distribution, StandardNormal};

/// A wandering number.
#[derive(Clone, Debug)]
pub(super) struct GaussMarkov {
    value: f64,
    sd: f64,
    correlation_s: f64,
}

impl GaussMarkov {
    /// A process in its stationary state, with standard deviation `sd` and correlation time
    /// `correlation_s`.
    pub(super) fn new(sd: f64, correlation_s: f64, rng: &mut impl Rng) -> Self {
        Self {
            value: sd * normal(rng),
            sd,
            correlation_s,
        }
    }

    /// Its present value.
    pub(super) const fn value(&self) -> f64 {
        self.value
    }

    /// Its value `dt_s` seconds on.
    pub(super) fn advance(&mut self, dt_s: f64, rng: &mut impl Rng) -> f64 {
        let kept = (-dt_s / self.correlation_s).exp();
        self.value = kept * self.value + self.sd * (1.0 - kept * kept).sqrt() * normal(rng);
        self.value
    }
}

/// One draw from the standard normal distribution.
pub(super) fn normal(rng: &mut impl Rng) -> f64 {
    StandardNormal.sample(rng)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand_chacha::ChaCha8Rng;
    use rand_chacha::rand_core::SeedableRng;

    /// Standard deviation and autocorrelation against the formulae above, over 400,000 samples
    /// (20,000 correlation times: one standard error of the deviation is 0.5 %).
    #[test]
    fn keeps_its_deviation_and_its_memory() {
        let mut rng = ChaCha8Rng::seed_from_u64(1);
        let mut process = GaussMarkov::new(2.0, 60.0, &mut rng);
        let x: Vec<f64> = (0..400_000)
            .map(|_| process.advance(3.0, &mut rng))
            .collect();
        let n = x.len() as f64;
        let variance = x.iter().map(|v| v * v).sum::<f64>() / n;
        assert!((variance.sqrt() - 2.0).abs() < 0.06, "{}", variance.sqrt());
        let lagged = x.iter().zip(&x[20..]).map(|(a, b)| a * b).sum::<f64>() / n / variance;
        assert!((lagged - (-1.0f64).exp()).abs() < 0.03, "{lagged}");
    }
}
