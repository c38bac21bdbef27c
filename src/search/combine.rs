//! What all sorties together did: exposures add cell by cell, whatever the pattern, the spacing and the
//! law of each, and POD = 1 - exp(-ΣF) (B. O. Koopman, *Search and Screening*, OEG Report 56, 1946:
//! independent looks). Probability moves from "in the area" to "found" sortie by sortie:
//! POS = POC · POD, and after an unsuccessful sortie POC' = POC · (1 - POD) in each cell (IAMSAR Manual
//! Vol II ch. 4).

use super::{Ground, Sortie};
use crate::measure::intervals::sum;
use serde::Serialize;

/// POD with what it may be at least and at most: with the sweep width at the ends of its spread, and the
/// stretches that the logs hide counted as not searched or as searched.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct PodBand {
    /// As the figures stand; what is not recorded counts as not searched.
    pub pod: f64,
    /// At least.
    pub low: f64,
    /// At most.
    pub high: f64,
}

/// One sortie's share in the search.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Step {
    /// Index of the sortie, in the order flown.
    pub sortie: usize,
    /// POD of this sortie alone, over the ground of the search, by how likely the object was where
    /// before the first sortie.
    pub pod_alone: f64,
    /// Probability that this sortie found the object, before it was flown (POS).
    pub pos: f64,
    /// The same for all sorties up to this one.
    pub cumulative_pos: f64,
    /// POD of all sorties up to this one.
    pub cumulative: PodBand,
    /// POC of each sub-area after this sortie found nothing; the rest of 1 was found or lies elsewhere.
    pub poc: Vec<f64>,
    /// POD of all sorties up to this one in each sub-area.
    pub pod: Vec<f64>,
}

/// The search so far.
#[derive(Clone, Debug)]
pub struct Combined {
    /// Sortie by sortie.
    pub steps: Vec<Step>,
    /// POD of every cell; not a number outside the sub-areas.
    pub pod: Vec<f32>,
}

/// What is summed up in each cell.
struct Sums {
    exposure: Vec<f32>,
    low: Vec<f32>,
    high: Vec<f32>,
}

/// Adds the sorties up in the order given. Memory is that of a few values for each cell, however many
/// sorties there are.
#[must_use]
pub fn combine(ground: &Ground, sorties: &[Sortie]) -> Combined {
    let prior = ground.prior();
    let cells = prior.len();
    let mut sums = Sums {
        exposure: vec![0.0; cells],
        low: vec![0.0; cells],
        high: vec![0.0; cells],
    };
    let mut steps: Vec<Step> = Vec::with_capacity(sorties.len());
    for (i, sortie) in sorties.iter().enumerate() {
        let alone = sums.add(ground, sortie);
        let before = steps.last().map_or(0.0, |step| step.cumulative_pos);
        let found = |exposure: &[f32]| found(&prior, exposure);
        let total = sum(prior.iter().map(|p| f64::from(*p)));
        let share = |found: f64| if total > 0.0 { found / total } else { 0.0 };
        let cumulative_pos = found(&sums.exposure);
        let pod = pod_by_sub_area(ground, &sums.exposure);
        steps.push(Step {
            sortie: i,
            pod_alone: share(found(&alone)),
            pos: cumulative_pos - before,
            cumulative_pos,
            cumulative: PodBand {
                pod: share(cumulative_pos),
                low: share(found(&sums.low)),
                high: share(found(&sums.high)),
            },
            poc: ground
                .sub_areas
                .iter()
                .zip(&pod)
                .map(|(sub_area, pod)| sub_area.poc * (1.0 - pod))
                .collect(),
            pod,
        });
    }
    let pod = |(exposure, of): (&f32, &Option<u16>)| of.map_or(f32::NAN, |_| -(-exposure).exp_m1());
    Combined {
        pod: sums
            .exposure
            .iter()
            .zip(&ground.sub_area_of)
            .map(pod)
            .collect(),
        steps,
    }
}

impl Sums {
    /// Adds a sortie and returns its own exposure.
    fn add(&mut self, ground: &Ground, sortie: &Sortie) -> Vec<f32> {
        let looks = &sortie.looks;
        let look = looks.look();
        let lines = looks.lines_in(&ground.frame).unwrap_or_default();
        let hidden = looks.unrecorded_in(&ground.frame).unwrap_or_default();
        let alone = look.exposure(&ground.grid, &lines);
        add(&mut self.exposure, &alone, 1.0);
        for (into, width, extra) in [
            (&mut self.low, looks.sweep_width_low, &[][..]),
            (&mut self.high, looks.sweep_width_high, &hidden[..]),
        ] {
            let other = looks.look_at_width(width);
            match look.factor_to(&other) {
                Some(factor) => add(into, &alone, factor as f32),
                None => add(into, &other.exposure(&ground.grid, &lines), 1.0),
            }
            if !extra.is_empty() {
                add(into, &other.exposure(&ground.grid, extra), 1.0);
            }
        }
        alone
    }
}

fn add(into: &mut [f32], exposure: &[f32], factor: f32) {
    for (sum, exposure) in into.iter_mut().zip(exposure) {
        *sum += factor * exposure;
    }
}

/// Probability found by an exposure, of what the cells hold.
fn found(prior: &[f32], exposure: &[f32]) -> f64 {
    sum(prior
        .iter()
        .zip(exposure)
        .filter(|(prior, _)| **prior > 0.0)
        .map(|(prior, exposure)| f64::from(*prior) * -f64::from(-exposure).exp_m1()))
}

/// POD over the ground of each sub-area, within which all places are equally likely.
fn pod_by_sub_area(ground: &Ground, exposure: &[f32]) -> Vec<f64> {
    let mut found = vec![(0.0f64, 0u32); ground.sub_areas.len()];
    for (of, exposure) in ground.sub_area_of.iter().zip(exposure) {
        if let Some(i) = of {
            let (pod, cells) = &mut found[usize::from(*i)];
            *pod += -f64::from(-exposure).exp_m1();
            *cells += 1;
        }
    }
    found
        .into_iter()
        .map(|(pod, cells)| pod / f64::from(cells.max(1)))
        .collect()
}
