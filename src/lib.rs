//! After an airborne visual search has landed: *which ground did we really look at?*

/// What is remembered of input files, and the error that refuses one.
pub mod input;

/// Quantities with their units.
pub mod units;

/// Places and distances on the ellipsoid.
pub mod geodesy;

/// 1. The recorded flight.
pub mod track;

/// 2. What the crew was assigned.
pub mod tasking;

/// 3. The assignment laid out on the ground.
pub mod plan;

/// 4. Which leg was flown when.
pub mod matching;

/// 5. How well it was tracked.
pub mod measure;

/// How likely an object is seen.
pub mod detection;

/// 6. Which ground was looked at.
pub mod coverage;

/// 7. The holes as legs to fly.
pub mod refly;

/// 8. All of it as one value.
pub mod debrief;

/// 9. That value as files.
pub mod report;

/// The flight before it is flown.
pub mod simulate;

/// What every report says about its limits.
pub mod cautions;

/// The command line.
pub mod cli;
