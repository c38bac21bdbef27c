//! How well the pattern was tracked: numbers from the runs that matching found.

pub mod above_ground;
pub mod additional;
pub mod along;
pub mod area_time;
pub mod extremes;
pub mod flight;
pub mod flown;
pub mod handling;
pub mod in_turn;
pub mod intervals;
pub mod leg_report;
pub mod pass;
pub mod passage;
pub mod phase_time;
pub mod shift;
pub mod thinned;
pub mod tracking;
pub mod turns;
pub mod unrecorded;
pub mod weights;
pub mod wind;

pub use above_ground::AboveGround;
pub use additional::AdditionalLeg;
pub use along::{AlongSpan, ProfilePoint};
pub use area_time::{AreaTime, OutsideKind, OutsideSpan};
pub use flight::Flight;
pub use flown::{Flown, FlownFix, Kept};
pub use handling::Handling;
pub use leg_report::{LegReport, LegState};
pub use pass::Pass;
pub use phase_time::{NotCounted, PhaseTotal};
pub use shift::PatternShift;
pub use tracking::Tracking;
pub use turns::Turn;
pub use wind::Wind;
