//! The longest sets of measurements that fit together at a limited rate.
//!
//! For every measurement the best *chain* ending there is found: the one with the most members whose
//! steps are all possible, and of equal ones the shortest. Comparing each with the one before would lose
//! the good one after a bad one, and everything after a bad first one; a chain steps over the bad one in
//! either case. On a sound log each costs one distance.
//!
//! Chains that nothing connects are separate: a short one is an excursion of the receiver and goes, a
//! long one is kept, since nobody can tell which of two long ones is wrong.

use rayon::prelude::*;
use std::collections::BTreeMap;

/// How far back a chain may reach over bad measurements.
/// Chosen: four minutes at one a second, half a minute at eight a second.
const LOOK_BACK: usize = 256;
/// A separate chain is kept if it lasts at least this long, seconds … Chosen.
const LASTING_S: f64 = 60.0;
/// … and this many median intervals. Chosen.
const LASTING_INTERVALS: f64 = 10.0;

/// Times and values of measurements: places as vectors from the centre of the earth, or heights alone. Between places distances are chords, shorter than the
/// geodesic by d³/(24 R²): a millimetre in 10 km, 130 m in 500 km.
pub(super) struct Steps<'a, const D: usize> {
    pub(super) seconds: &'a [f64],
    pub(super) places: &'a [[f64; D]],
    /// The highest possible rate, metres per second …
    pub(super) limit_mps: f64,
    /// … and the distance allowed beyond it, metres.
    pub(super) scatter_m: f64,
}

impl<const D: usize> Steps<'_, D> {
    /// Whether all of them fit together in their order.
    pub(super) fn all_possible(&self) -> bool {
        (1..self.places.len())
            .into_par_iter()
            .all(|index| self.possible(index - 1, index))
    }

    /// The chains to keep, by their first index: the one with the most members, then every lasting piece
    /// of another that does not run alongside one chosen before.
    pub(super) fn chains(&self, median_interval_s: f64) -> BTreeMap<usize, Vec<usize>> {
        let lasting_s = LASTING_S.max(LASTING_INTERVALS * median_interval_s);
        Chains::find(self).select(self, lasting_s)
    }

    pub(super) fn seconds(&self, from: usize, to: usize) -> f64 {
        self.seconds[to] - self.seconds[from]
    }

    pub(super) fn distance_m(&self, from: usize, to: usize) -> f64 {
        let ways = self.places[from].iter().zip(&self.places[to]);
        ways.map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt()
    }

    pub(super) fn speed_mps(&self, from: usize, to: usize) -> f64 {
        self.distance_m(from, to) / self.seconds(from, to)
    }

    fn reach_m(&self, from: usize, to: usize) -> f64 {
        self.limit_mps * self.seconds(from, to) + self.scatter_m
    }

    pub(super) fn possible(&self, from: usize, to: usize) -> bool {
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
    fn find<const D: usize>(steps: &Steps<D>) -> Self {
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

    fn best_link<const D: usize>(&self, steps: &Steps<D>, index: usize) -> Link {
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
    fn select<const D: usize>(
        &self,
        steps: &Steps<D>,
        lasting_s: f64,
    ) -> BTreeMap<usize, Vec<usize>> {
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
