//! An R-tree of the planned search legs, in local metres: which legs are near a place?
//!
//! With a handful of legs a linear scan would do as well; with the tree the work for a fix does not
//! grow with the number of legs. A leg counts as near by its distance to the segment, ends included.
//! Where several legs are equally near — at a shared waypoint — all of them are returned, in the
//! order of the plan, and the sequence decides.

use crate::plan::Plan;
use geo::Coord;
use rstar::RTree;
use rstar::primitives::{GeomWithData, Line};

/// The tree.
#[derive(Debug)]
pub struct LegIndex {
    tree: RTree<GeomWithData<Line<[f64; 2]>, usize>>,
}

impl LegIndex {
    /// A tree of the search legs of `plan`.
    #[must_use]
    pub fn new(plan: &Plan) -> Self {
        let segments = plan
            .search_legs()
            .map(|(index, leg)| {
                let (a, b) = (plan.frame.forward(leg.start), plan.frame.forward(leg.end));
                GeomWithData::new(Line::new([a.x, a.y], [b.x, b.y]), index)
            })
            .collect();
        Self {
            tree: RTree::bulk_load(segments),
        }
    }

    /// Fills `near` with the indexes (into the plan's legs, rising) of all search legs within
    /// `gate_m` metres of `xy`.
    pub fn near(&self, xy: Coord<f64>, gate_m: f64, near: &mut Vec<usize>) {
        near.clear();
        near.extend(
            self.tree
                .locate_within_distance([xy.x, xy.y], gate_m * gate_m)
                .map(|leg| leg.data),
        );
        near.sort_unstable();
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
        let (mut near, mut hits) = (Vec::new(), 0);
        for _ in 0..2000 {
            let xy = Coord {
                x: random.random_range(-25_000.0..25_000.0),
                y: random.random_range(-25_000.0..25_000.0),
            };
            let gate_m = random.random_range(100.0..3_000.0);
            index.near(xy, gate_m, &mut near);
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
