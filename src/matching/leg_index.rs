//! An R-tree of the planned search legs, in local metres: which legs are near a place?
//!
//! With a handful of legs a linear scan would do as well; with the tree the work for a fix does not
//! grow with the number of legs. A leg counts as near by its distance to the segment, ends included.
//! Where several legs are equally near — at a shared waypoint — all of them are returned, in the
//! order of the plan, and the sequence decides.
//!
//! A flight goes on from where it just was: the tree is asked for what lies near a place and some way round
//! it, and asked again only beyond.

use crate::plan::Plan;
use geo::Coord;
use rstar::RTree;
use rstar::primitives::{GeomWithData, Line};

/// How far round a place the tree is asked, in gates. Chosen: the tree is asked again every twenty seconds or
/// so, and gives hardly more legs than are near.
const ROUND_GATES: f64 = 0.5;

/// The tree.
#[derive(Debug)]
pub struct LegIndex {
    tree: RTree<GeomWithData<Line<[f64; 2]>, Candidate>>,
}

/// A leg, for its distance from a place.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Candidate {
    leg: usize,
    start: Coord<f64>,
    way: Coord<f64>,
    /// Of its length squared.
    reciprocal: f64,
}

impl Candidate {
    /// Square of the distance from the leg.
    fn distance2_m2(&self, xy: Coord<f64>) -> f64 {
        let (dx, dy) = (xy.x - self.start.x, xy.y - self.start.y);
        let share = (dx * self.way.x + dy * self.way.y) * self.reciprocal;
        let share = share.clamp(0.0, 1.0);
        let (x, y) = (dx - share * self.way.x, dy - share * self.way.y);
        x * x + y * y
    }
}

/// What lies near, along a way.
#[derive(Debug)]
pub struct NearLegs<'a> {
    index: &'a LegIndex,
    gate_m: f64,
    asked_at: Option<Coord<f64>>,
    candidates: Vec<Candidate>,
    near: Vec<usize>,
}

impl LegIndex {
    /// A tree of the search legs of `plan`.
    #[must_use]
    pub fn new(plan: &Plan) -> Self {
        let segments = plan
            .search_legs()
            .map(|(leg, planned)| {
                let place = |at| plan.frame.forward(at);
                let (a, b) = (place(planned.start), place(planned.end));
                let way = b - a;
                let length2_m2 = way.x * way.x + way.y * way.y;
                let candidate = Candidate {
                    leg,
                    start: a,
                    way,
                    reciprocal: if length2_m2 > 0.0 {
                        length2_m2.recip()
                    } else {
                        0.0
                    },
                };
                GeomWithData::new(Line::new([a.x, a.y], [b.x, b.y]), candidate)
            })
            .collect();
        Self {
            tree: RTree::bulk_load(segments),
        }
    }

    /// To ask which legs lie within `gate_m` metres of places.
    #[must_use]
    pub const fn within(&self, gate_m: f64) -> NearLegs<'_> {
        NearLegs {
            index: self,
            gate_m,
            asked_at: None,
            candidates: Vec::new(),
            near: Vec::new(),
        }
    }
}

impl NearLegs<'_> {
    /// All search legs within the gate of `xy`, in the order of the plan.
    pub fn at(&mut self, xy: Coord<f64>) -> &[usize] {
        let round_m = ROUND_GATES * self.gate_m;
        let is_covered = self.asked_at.is_some_and(|at| {
            let d = xy - at;
            d.x * d.x + d.y * d.y <= round_m * round_m
        });
        if !is_covered {
            let reach_m = self.gate_m + round_m;
            let found = self
                .index
                .tree
                .locate_within_distance([xy.x, xy.y], reach_m * reach_m);
            self.candidates.clear();
            self.candidates.extend(found.map(|leg| leg.data));
            self.candidates
                .sort_unstable_by_key(|candidate| candidate.leg);
            self.asked_at = Some(xy);
        }
        let gate2_m2 = self.gate_m * self.gate_m;
        let is_near = |candidate: &&Candidate| candidate.distance2_m2(xy) <= gate2_m2;
        let near = self.candidates.iter().filter(is_near);
        self.near.clear();
        self.near.extend(near.map(|candidate| candidate.leg));
        &self.near
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{plan, tasking};
    use geo::{Distance, Euclidean, Point};
    use rand::{RngExt, SeedableRng};

    /// Against a look at every leg, at random places about a slanting pattern (seed 5).
    #[test]
    fn the_tree_finds_what_a_scan_finds() {
        let text = "sortie = \"T\"\ndate = 2026-06-14\n[pattern]\nkind = \"parallel sweep\"\n\
            start = [47.0, 12.0]\nfirst_course = \"033 T\"\nturn = \"left\"\n\
            spacing = \"0.5 NM\"\nleg_length = \"7 NM\"\nlegs = 40\n[flight]\n\
            ground_speed = \"90 kt\"\n[detection]\nsweep_width = \"0.5 NM\"\n";
        let path = std::path::Path::new("tasking.toml");
        let plan = plan::lay_out(&tasking::parse(text, path).unwrap(), path).unwrap();
        let index = LegIndex::new(&plan);
        let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(5);
        let mut hits = 0;
        let mut xy = Coord { x: 0.0, y: 0.0 };
        let mut gate_m = 1_000.0;
        let mut near_legs = index.within(gate_m);
        for i in 0..20_000 {
            // Ten small steps from each place, and a gate for every hundred.
            if i % 10 == 0 {
                xy = Coord {
                    x: random.random_range(-25_000.0..25_000.0),
                    y: random.random_range(-25_000.0..25_000.0),
                };
            }
            if i % 100 == 0 {
                gate_m = random.random_range(100.0..3_000.0);
                near_legs = index.within(gate_m);
            }
            xy.x += random.random_range(-0.2..0.2) * gate_m;
            let near = near_legs.at(xy).to_vec();
            let scanned: Vec<usize> = plan
                .search_legs()
                .filter(|(_, leg)| {
                    let line =
                        geo::Line::new(plan.frame.forward(leg.start), plan.frame.forward(leg.end));
                    Euclidean.distance(&Point::from(xy), &line) <= gate_m
                })
                .map(|(leg, _)| leg)
                .collect();
            assert_eq!(near, scanned, "at {xy:?} within {gate_m} m");
            hits += near.len();
        }
        assert!(hits > 1000, "{hits}");
    }
}
