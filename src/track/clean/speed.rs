//! The spike gate: fixes that cannot be reached at a possible speed.
//!
//! For every fix the best *chain* ending there is found: the one with the most fixes whose steps are
//! all possible, and of equal ones the shortest over the ground. Comparing each fix with the one
//! before would lose the good fix after a bad one, and everything after a bad first fix; a chain steps
//! over the bad one in either case. On a sound log each fix costs one distance.
//!
//! Chains that nothing connects are separate: a short one is an excursion of the receiver and goes, a
//! long one is kept, with a jump between, since nobody can tell which of two long ones is wrong.

use super::Sample;
use super::gaps::median_interval_s;
use crate::geodesy::ecef::{self, Ecef};
use crate::track::{Finding, Ledger, seconds_between};
use crate::units::{Length, Speed};
use std::collections::BTreeMap;

/// How far back a chain may reach over bad fixes, in fixes.
/// Chosen: four minutes at one a second, half a minute at eight a second.
const LOOK_BACK: usize = 256;
/// Distance allowed beyond the speed limit, metres. Chosen: the scatter of a receiver, which at ten
/// fixes a second would look like speed.
const SCATTER_M: f64 = 30.0;
/// A separate chain is kept if it lasts at least this long, seconds … Chosen.
const LASTING_S: f64 = 60.0;
/// … and this many median intervals. Chosen.
const LASTING_INTERVALS: f64 = 10.0;

/// Keeps the samples that fit together at `limit`; the others go into the ledger.
pub(super) fn within_limit(samples: Vec<Sample>, limit: Speed, ledger: &mut Ledger) -> Vec<Sample> {
    let steps = Steps::new(&samples, limit);
    if (1..samples.len()).all(|index| steps.possible(index - 1, index)) {
        // One chain holds them all.
        return samples;
    }
    let lasting_s = LASTING_S.max(LASTING_INTERVALS * median_interval_s(&samples));
    let chains = Chains::find(&steps);
    let pieces = chains.select(&steps, lasting_s);
    let mut kept = Vec::with_capacity(samples.len());
    let mut last: Option<usize> = None;
    for (&start, piece) in &pieces {
        let jump = last.filter(|&last| !steps.possible(last, start));
        for &index in piece {
            report_dropped(&samples, &steps, last, Some(index), ledger);
            let after_jump = jump.is_some() && index == start;
            kept.push(Sample {
                after_jump,
                ..samples[index]
            });
            last = Some(index);
        }
        if let Some(before) = jump {
            let raw = format!(
                "{:.1} NM in {:.0} s",
                Length::from_m(steps.distance_m(before, start)).nm(),
                steps.seconds(before, start)
            );
            ledger.add_at(&samples[start].fix, Finding::PositionJump, raw);
        }
    }
    report_dropped(&samples, &steps, last, None, ledger);
    kept
}

/// Writes the samples between two kept neighbours into the ledger, with the higher of the speeds that
/// lead to and from them.
fn report_dropped(
    samples: &[Sample],
    steps: &Steps,
    before: Option<usize>,
    after: Option<usize>,
    ledger: &mut Ledger,
) {
    let first = before.map_or(0, |before| before + 1);
    let end = after.unwrap_or(samples.len());
    for (index, sample) in (first..end).zip(&samples[first..end]) {
        let to = before.map_or(0.0, |before| steps.speed_mps(before, index));
        let from = after.map_or(0.0, |after| steps.speed_mps(index, after));
        let speed = Speed::from_mps(to.max(from));
        let raw = format!("{} at {:.0} kt", sample.fix.position, speed.kt());
        ledger.add_at(&sample.fix, Finding::ImpossibleSpeed, raw);
    }
}

/// Times and places of the samples, ready for measuring steps. Distances are chords, shorter than the
/// geodesic by d³/(24 R²): a millimetre in 10 km, 130 m in 500 km.
struct Steps {
    seconds: Vec<f64>,
    places: Vec<Ecef>,
    limit_mps: f64,
}

impl Steps {
    fn new(samples: &[Sample], limit: Speed) -> Self {
        let since = |sample: &Sample| seconds_between(samples[0].fix.time, sample.fix.time);
        Self {
            seconds: samples.iter().map(since).collect(),
            places: samples
                .iter()
                .map(|s| ecef::from_position(s.fix.position))
                .collect(),
            limit_mps: limit.mps(),
        }
    }

    fn seconds(&self, from: usize, to: usize) -> f64 {
        self.seconds[to] - self.seconds[from]
    }

    fn distance_m(&self, from: usize, to: usize) -> f64 {
        let (a, b) = (self.places[from], self.places[to]);
        ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2) + (a[2] - b[2]).powi(2)).sqrt()
    }

    fn speed_mps(&self, from: usize, to: usize) -> f64 {
        self.distance_m(from, to) / self.seconds(from, to)
    }

    fn reach_m(&self, from: usize, to: usize) -> f64 {
        self.limit_mps * self.seconds(from, to) + SCATTER_M
    }

    fn possible(&self, from: usize, to: usize) -> bool {
        self.distance_m(from, to) <= self.reach_m(from, to)
    }
}

/// The best chain ending at a sample.
#[derive(Clone, Copy)]
struct Link {
    /// Fixes in it.
    count: u32,
    /// The one before, or `NONE` for the first of a chain.
    previous: u32,
    /// Which tree of chains (all with the same first fix) it belongs to.
    tree: u32,
    /// No sample within `LOOK_BACK` before this one or at it has a longer chain.
    bound: u32,
    /// Its length over the ground, metres.
    length_m: f64,
}

const NONE: u32 = u32::MAX;

/// Chains with the same first fix: the best of them.
#[derive(Clone, Copy)]
struct Tree {
    last: u32,
    count: u32,
    length_m: f64,
}

struct Chains {
    links: Vec<Link>,
    trees: Vec<Tree>,
}

impl Chains {
    fn find(steps: &Steps) -> Self {
        let mut chains = Self {
            links: Vec::with_capacity(steps.places.len()),
            trees: vec![],
        };
        let (mut block_max, mut block_before_max) = (0, 0);
        for index in 0..steps.places.len() {
            if index % LOOK_BACK == 0 {
                (block_before_max, block_max) = (block_max, 0);
            }
            let mut link = chains.best_link(steps, index);
            block_max = link.count.max(block_max);
            // The window of LOOK_BACK samples lies within this block and the one before.
            link.bound = block_max.max(block_before_max);
            chains.add(link);
        }
        chains
    }

    fn best_link(&self, steps: &Steps, index: usize) -> Link {
        let mut best = Link {
            count: 1,
            previous: NONE,
            tree: as_u32(self.trees.len()),
            bound: 0,
            length_m: 0.0,
        };
        for from in (index.saturating_sub(LOOK_BACK)..index).rev() {
            let link = &self.links[from];
            if link.bound + 1 < best.count {
                break;
            }
            if link.count + 1 < best.count {
                continue;
            }
            let step_m = steps.distance_m(from, index);
            let length_m = link.length_m + step_m;
            let better = link.count + 1 > best.count || length_m < best.length_m;
            if better && step_m <= steps.reach_m(from, index) {
                best = Link {
                    count: link.count + 1,
                    previous: as_u32(from),
                    tree: link.tree,
                    bound: 0,
                    length_m,
                };
            }
        }
        best
    }

    fn add(&mut self, link: Link) {
        let index = as_u32(self.links.len());
        self.links.push(link);
        let end = Tree {
            last: index,
            count: link.count,
            length_m: link.length_m,
        };
        match self.trees.get_mut(link.tree as usize) {
            None => self.trees.push(end),
            Some(tree) => {
                if (end.count, -end.length_m) > (tree.count, -tree.length_m) {
                    *tree = end;
                }
            }
        }
    }

    /// Indices of the chain that ends at `last`, rising.
    fn chain(&self, last: u32) -> Vec<usize> {
        let mut chain = Vec::with_capacity(self.links[last as usize].count as usize);
        let mut at = last;
        while at != NONE {
            chain.push(at as usize);
            at = self.links[at as usize].previous;
        }
        chain.reverse();
        chain
    }

    /// The chains to keep, by their first index: the one with the most fixes, then every lasting piece
    /// of another that does not run alongside one chosen before.
    fn select(&self, steps: &Steps, lasting_s: f64) -> BTreeMap<usize, Vec<usize>> {
        let mut trees = self.trees.clone();
        trees.sort_by_key(|tree| std::cmp::Reverse(tree.count));
        let mut chosen = BTreeMap::new();
        for (rank, tree) in trees.iter().enumerate() {
            let chain = self.chain(tree.last);
            let lasts = |piece: &[usize]| match piece {
                [first, .., last] => steps.seconds(*first, *last) >= lasting_s,
                _ => false,
            };
            if rank == 0 {
                chosen.insert(chain[0], chain);
            } else if lasts(&chain) {
                for piece in outside(&chosen, &chain) {
                    if lasts(&piece) {
                        chosen.insert(piece[0], piece);
                    }
                }
            }
        }
        chosen
    }
}

/// The pieces of `chain` before, between and after the chosen ones.
fn outside(chosen: &BTreeMap<usize, Vec<usize>>, chain: &[usize]) -> Vec<Vec<usize>> {
    let meets_chosen = |from: usize, to: usize| {
        let last = chosen
            .range(..=to)
            .next_back()
            .and_then(|(_, piece)| piece.last());
        last.is_some_and(|&end| end >= from)
    };
    let mut pieces: Vec<Vec<usize>> = vec![vec![]];
    let mut before = chain[0];
    for &index in chain {
        if meets_chosen(before, index) {
            pieces.push(vec![]);
        }
        if !meets_chosen(index, index)
            && let Some(piece) = pieces.last_mut()
        {
            piece.push(index);
        }
        before = index;
    }
    pieces.retain(|piece| !piece.is_empty());
    pieces
}

/// A file of four thousand million fixes would not fit into memory.
fn as_u32(index: usize) -> u32 {
    u32::try_from(index).unwrap_or(NONE)
}
