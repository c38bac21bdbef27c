//! What all sorties together did: exposures add cell by cell, whatever the pattern, the spacing and the
//! law of each, and POD = 1 - exp(-ΣF) (B. O. Koopman, *Search and Screening*, OEG Report 56, 1946:
//! independent looks). Probability moves from "in the area" to "found" sortie by sortie:
//! POS = POC · POD, and after an unsuccessful sortie POC' = POC · (1 - POD) in each cell (IAMSAR Manual
//! Vol II ch. 4).

use super::{Ground, Sortie};
use crate::coverage::PodBand;
use crate::coverage::look::LEAST_EXPOSURE;
use crate::measure::intervals::sum;
use serde::Serialize;

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
    /// At least and at most, as the band of [`cumulative`](Self::cumulative).
    pub cumulative_pos_low: f64,
    /// See [`cumulative_pos_low`](Self::cumulative_pos_low).
    pub cumulative_pos_high: f64,
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
    /// The first sortie that came near no ground on which the object may be.
    pub elsewhere: Option<usize>,
    /// POD of every cell at least and at most, likewise.
    pub pod_ends: [Vec<f32>; 2],
    /// POD of all sorties in each sub-area, with its band.
    pub by_sub_area: Vec<PodBand>,
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
    let mut elsewhere = None;
    for (i, sortie) in sorties.iter().enumerate() {
        let alone = sums.add(ground, sortie);
        let mut likely = prior.iter().zip(&alone).filter(|(prior, _)| **prior > 0.0);
        // An inverse-cube law has no range: what it leaves on the next county is not looking at it.
        if elsewhere.is_none() && !likely.any(|(_, f)| f64::from(*f) >= LEAST_EXPOSURE) {
            elsewhere = Some(i);
        }
        let before = steps.last().map_or(0.0, |step| step.cumulative_pos);
        let found = |exposure: &[f32]| found(&prior, exposure);
        let total = sum(prior.iter().map(|p| f64::from(*p)));
        let share = |found: f64| if total > 0.0 { found / total } else { 0.0 };
        let cumulative_pos = found(&sums.exposure);
        let ends = [found(&sums.low), found(&sums.high)];
        let pod = pod_by_sub_area(ground, &sums.exposure);
        steps.push(Step {
            sortie: i,
            pod_alone: share(found(&alone)),
            pos: cumulative_pos - before,
            cumulative_pos,
            cumulative_pos_low: ends[0],
            cumulative_pos_high: ends[1],
            cumulative: PodBand {
                pod: share(cumulative_pos),
                low: share(ends[0]),
                high: share(ends[1]),
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
    let by_sub_area = [&sums.exposure, &sums.low, &sums.high].map(|e| pod_by_sub_area(ground, e));
    Combined {
        by_sub_area: (0..ground.sub_areas.len())
            .map(|i| PodBand {
                pod: by_sub_area[0][i],
                low: by_sub_area[1][i],
                high: by_sub_area[2][i],
            })
            .collect(),
        pod: pod_of(ground, &sums.exposure),
        pod_ends: [pod_of(ground, &sums.low), pod_of(ground, &sums.high)],
        steps,
        elsewhere,
    }
}

/// POD of every cell; not a number outside the sub-areas.
fn pod_of(ground: &Ground, exposure: &[f32]) -> Vec<f32> {
    exposure
        .iter()
        .zip(&ground.sub_area_of)
        .map(|(exposure, of)| of.map_or(f32::NAN, |_| -(-exposure).exp_m1()))
        .collect()
}

impl Sums {
    /// Adds a sortie and returns its own exposure.
    fn add(&mut self, ground: &Ground, sortie: &Sortie) -> Vec<f32> {
        let doubt = sortie.looks.doubt();
        let lines = sortie.looks.lines_in(&ground.frame).unwrap_or_default();
        let hidden = sortie
            .looks
            .unrecorded_in(&ground.frame)
            .unwrap_or_default();
        let alone = doubt.look.exposure(&ground.grid, &lines);
        let ends = doubt.ends(&ground.grid, &lines, &hidden, &alone);
        add(&mut self.exposure, &alone);
        add(&mut self.low, &ends.low);
        add(&mut self.high, &ends.high);
        alone
    }
}

fn add(into: &mut [f32], exposure: &[f32]) {
    for (sum, exposure) in into.iter_mut().zip(exposure) {
        *sum += exposure;
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
