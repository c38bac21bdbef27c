//! What can be made to go wrong, or differently, on purpose.
//!
//! Legs are named by the number of their label. Distances along a leg are counted from its planned
//! start, whichever way it is flown.

use crate::tasking::Side;
use crate::units::{Bearing, Length, Speed};

/// A departure from the plan.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// The leg is not flown. The next one is begun from the end nearer to the aircraft.
    SkipLeg(u32),
    /// The leg is left early and the next one joined from there.
    CutShort {
        /// Which leg.
        leg: u32,
        /// How far before the end, in the direction flown, the turn begins.
        by: Length,
    },
    /// The aircraft is held beside the leg.
    LateralBias {
        /// Which leg; all of them, planned and additional, if `None`.
        leg: Option<u32>,
        /// How far, right of the direction flown positive.
        right: Length,
    },
    /// After the planned set a second one is flown midway between neighbouring legs.
    Interleave,
    /// Directly after this leg an additional one is flown midway between it and the next.
    ExtraAfter(u32),
    /// The legs are flown in this order and no others.
    Order(Vec<LegRun>),
    /// The leg is flown a second time, back along itself.
    FlyTwice(u32),
    /// Full circles beside a place on the leg, as round something sighted; then on along the leg.
    Orbit {
        /// Which leg.
        leg: u32,
        /// Where the circle begins and ends.
        along: Length,
        /// How many full circles.
        turns: u32,
        /// On which side, in the direction flown, the centre lies.
        side: Side,
    },
    /// All corners of the area are flown over before the first leg.
    CornerSurvey,
    /// The receiver is silent for a while.
    Dropout {
        /// Which leg.
        leg: u32,
        /// Where the silence begins.
        along: Length,
        /// How long it lasts, seconds.
        duration_s: f64,
    },
    /// The leg is left square to the nearer edge of the area, and resumed where it was left. Where
    /// wind or a near edge leave no room for less, the time outside is longer than asked for; the
    /// truth has what it was.
    Excursion {
        /// Which leg.
        leg: u32,
        /// Where it is left.
        along: Length,
        /// How long the aircraft is to be outside the area, seconds.
        outside_s: f64,
    },
    /// The whole pattern is flown turned about the start of its first leg, as from a wrong course.
    Turned {
        /// Degrees, to the right positive.
        right_deg: f64,
    },
    /// The whole pattern is flown elsewhere, as from a wrong datum.
    Shifted {
        /// How far.
        by: Length,
        /// Which way, true.
        towards: Bearing,
    },
    /// All turns are made to the other side: the pattern is flown mirrored along its first leg.
    Mirrored,
    /// From the beginning of the first leg on the pattern moves over the ground, as one flown in
    /// drifting water or by headings and times alone.
    Carried {
        /// How fast.
        at: Speed,
        /// Which way, true.
        towards: Bearing,
    },
}

/// One leg in an order of legs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LegRun {
    /// Number of the leg.
    pub leg: u32,
    /// Flown from its planned end to its planned start.
    pub reversed: bool,
}
