//! What the POD may be at least and at most.
//!
//! Three doubts are carried. The sweep width lies somewhere in its spread; a hole in the log hides stretches that
//! were searched or were not; and each leg was flown a little beside where the log has it. The first two
//! are ranges of which nobody says how likely each value is, and they are the same for every place, so
//! their ends are taken together: the worst case and the best. The third averages over the legs to a loss, which
//! `detection::displaced` expects of a perfect sweep; it is taken off the least, and not added to the most.

use super::look::Look;
use super::looking::LookingLine;
use super::raster::Grid;
use crate::detection::Law;
use crate::detection::displaced::kept_share;
use crate::detection::law::pod;
use crate::measure::intervals::sum;
use crate::tasking::DetectionTask;
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// POD with what it may be at least and at most.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct PodBand {
    /// As the figures stand; what is not recorded counts as not searched.
    pub pod: f64,
    /// At least.
    pub low: f64,
    /// At most.
    pub high: f64,
}

/// What each doubt alone makes of the POD over the area.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BandParts {
    /// With the sweep width at the lower end of its spread; `None` where no spread is known.
    pub sweep_width_low: Option<f64>,
    /// With it at the upper end.
    pub sweep_width_high: Option<f64>,
    /// With every leg displaced by the error of position.
    pub position_low: f64,
    /// Horizontal error of recorded places, 95 %.
    #[serde(rename = "position_error_m")]
    pub position_error: Length,
    /// Whether the tasking gave it.
    pub position_error_given: bool,
    /// With what is not recorded searched as planned; `None` where nothing is hidden.
    pub unrecorded_high: Option<f64>,
}

/// What may be otherwise than the figures have it, for one flight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubt {
    /// As the figures have it.
    pub look: Look,
    /// The least that the sweep width may be.
    pub width_low: Length,
    /// The most.
    pub width_high: Length,
    /// Horizontal error of recorded places, 95 %.
    pub position_error: Length,
}

/// Exposure of every cell, row after row, at the two ends.
#[derive(Clone, Debug)]
pub struct Ends {
    /// The least.
    pub low: Vec<f32>,
    /// The most.
    pub high: Vec<f32>,
}

impl Doubt {
    /// Of a flight as tasked.
    #[must_use]
    pub fn of(task: &DetectionTask, spacing: Length) -> Self {
        Self {
            look: Look::of(task, spacing),
            width_low: task.sweep_width_basis.low.unwrap_or(task.sweep_width),
            width_high: task.sweep_width_basis.high.unwrap_or(task.sweep_width),
            position_error: task.position_error,
        }
    }

    /// Exposures at the ends; `alone` is that of `lines` as the figures stand, `hidden` are the stretches that a
    /// hole in the log may hide.
    #[must_use]
    pub fn ends(
        &self,
        grid: &Grid,
        lines: &[LookingLine],
        hidden: &[LookingLine],
        alone: &[f32],
    ) -> Ends {
        let low_look = self.look.at_width(self.width_low);
        let mut low = self.under(&low_look, grid, lines, alone);
        lose(&mut low, self.kept(&low_look));
        let high_look = self.look.at_width(self.width_high);
        let mut high = self.under(&high_look, grid, lines, alone);
        if !hidden.is_empty() {
            add(&mut high, &high_look.exposure(grid, hidden));
        }
        Ends { low, high }
    }

    /// The same lines looked from in another way, which differs in the sweep width alone.
    fn under(&self, other: &Look, grid: &Grid, lines: &[LookingLine], alone: &[f32]) -> Vec<f32> {
        match self.look.factor_to(other) {
            Some(factor) => alone.iter().map(|f| factor as f32 * f).collect(),
            None => other.exposure(grid, lines),
        }
    }

    /// Share of the POD that the error of position leaves.
    fn kept(&self, look: &Look) -> f64 {
        kept_share(
            look.law,
            &look.inverse_cube,
            Length::from_m(look.spacing_m),
            look.view,
            self.position_error,
        )
    }
}

/// Where and how far was flown: what the POD over the area is worked out from.
#[derive(Clone, Copy, Debug)]
pub struct OverArea<'a> {
    /// The cells.
    pub grid: &'a Grid,
    /// Which of them lie in the area.
    pub inside: &'a [bool],
    /// Size of the area, square metres.
    pub area_m2: f64,
    /// Lines flown while looking.
    pub lines: &'a [LookingLine],
    /// Length of them inside the area, metres.
    pub lines_m: f64,
    /// Stretches that a hole in the log may hide.
    pub hidden: &'a [LookingLine],
    /// Length of them inside the area, metres.
    pub hidden_m: f64,
}

impl OverArea<'_> {
    /// POD over the area, with its band and what each doubt makes of it alone; `alone` is the exposure as the
    /// figures stand.
    #[must_use]
    pub fn band(&self, doubt: &Doubt, alone: &[f32]) -> (PodBand, BandParts) {
        let low_look = doubt.look.at_width(doubt.width_low);
        let high_look = doubt.look.at_width(doubt.width_high);
        let spread = doubt.width_low < doubt.width_high;
        let as_is = self.pod(&doubt.look, alone, self.lines_m);
        let with = |look: &Look| {
            if look.sweep_width_m() == doubt.look.sweep_width_m() {
                return as_is;
            }
            let exposure = doubt.under(look, self.grid, self.lines, alone);
            self.pod(look, &exposure, self.lines_m)
        };
        let (at_low, at_high) = (with(&low_look), with(&high_look));
        let kept = doubt.kept(&doubt.look);
        let kept_low = if low_look.sweep_width_m() == doubt.look.sweep_width_m() {
            kept
        } else {
            doubt.kept(&low_look)
        };
        let hides = !self.hidden.is_empty();
        let and_hidden = |look: &Look| {
            let mut exposure = doubt.under(look, self.grid, self.lines, alone);
            add(&mut exposure, &look.exposure(self.grid, self.hidden));
            self.pod(look, &exposure, self.lines_m + self.hidden_m)
        };
        let band = PodBand {
            pod: as_is,
            // Every cell keeps the same share of its POD, and so does their mean.
            low: kept_low * at_low,
            high: if hides {
                and_hidden(&high_look)
            } else {
                at_high
            },
        };
        let parts = BandParts {
            sweep_width_low: spread.then_some(at_low),
            sweep_width_high: spread.then_some(at_high),
            position_low: as_is * kept,
            position_error: doubt.position_error,
            position_error_given: false,
            unrecorded_high: hides.then(|| and_hidden(&doubt.look)),
        };
        (band, parts)
    }

    /// POD over the area: the mean over its cells, but under random search, which knows no place, that of
    /// W L / A.
    pub(super) fn pod(&self, look: &Look, exposure: &[f32], length_m: f64) -> f64 {
        if look.law == Law::Exponential {
            return pod(look.share() * look.sweep_width_m() * length_m / self.area_m2);
        }
        let cells = || {
            exposure
                .iter()
                .zip(self.inside)
                .filter(|(_, inside)| **inside)
        };
        sum(cells().map(|(f, _)| pod(f64::from(*f)))) / cells().count().max(1) as f64
    }
}

/// Leaves the share `kept` of the POD of every cell.
fn lose(exposure: &mut [f32], kept: f64) {
    if kept < 1.0 {
        for f in exposure {
            *f = -(-kept * pod(f64::from(*f))).ln_1p() as f32;
        }
    }
}

fn add(into: &mut [f32], exposure: &[f32]) {
    for (sum, exposure) in into.iter_mut().zip(exposure) {
        *sum += exposure;
    }
}
