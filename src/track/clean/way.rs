//! The way through the samples, worked out once for all the gates that measure it.

use super::Sample;
use crate::geodesy::ecef::{self, Ecef};
use crate::track::seconds_between;
use rayon::prelude::*;

/// When and where the samples are; both lists run parallel to them.
pub(super) struct Way {
    /// Seconds since the first of them.
    pub(super) seconds: Vec<f64>,
    pub(super) places: Vec<Ecef>,
}

impl Way {
    pub(super) fn of(samples: &[Sample]) -> Self {
        let since = |sample: &Sample| seconds_between(samples[0].fix.time, sample.fix.time);
        let place = |sample: &Sample| ecef::from_position(sample.fix.position);
        Self {
            seconds: samples.par_iter().map(since).collect(),
            places: samples.par_iter().map(place).collect(),
        }
    }

    /// The way through what a gate left of the samples.
    pub(super) fn after(self, samples: &[Sample]) -> Self {
        if samples.len() == self.seconds.len() {
            self
        } else {
            Self::of(samples)
        }
    }
}
