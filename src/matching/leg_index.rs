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
