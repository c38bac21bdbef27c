//! What is needed to measure flown legs, handed on as one.

use crate::geodesy::LegInPlane;
use crate::plan::Plan;
use crate::track::Track;
use crate::track::motion::Motion;

/// What is needed to measure flown legs.
#[derive(Clone, Copy, Debug)]
pub struct Flight<'a> {
    /// The track.
    pub track: &'a Track,
    /// Its motion.
    pub motion: &'a Motion,
    /// The plan.
    pub plan: &'a Plan,
    /// The frames of its legs.
    pub frames: &'a [LegInPlane],
}
