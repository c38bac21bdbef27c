//! After an airborne visual search has landed: *which ground did we really look at?*
//!
//! A recorded track log is matched against the pattern the crew was assigned; from that come the
//! tracking figures, the strips that were missed or thinly covered, a probability of detection (POD)
//! over the area, and the holes as legs to fly again.
//!
//! ```text
//! log ────► track::read ─► track::clean ─► Track ──┬──────────────┐
//!                                                  │              │
//! tasking ► tasking ─► Tasking ─► plan ─► Plan ────┴─► matching ─►├─► measure ──┐
//!                                                      Matched    └─► coverage ─┴─► debrief ─► Debrief
//!                                                                     strips ─► refly ┘          │
//!                                                                                              report
//! ```
//!
//! | module | takes | gives |
//! |---|---|---|
//! | [`track`] | a track log | [`track::Track`]: fixes in rising time, split at gaps, with a ledger of what was dropped |
//! | [`tasking`] | a TOML file | [`tasking::Tasking`]: what the crew was assigned, checked |
//! | [`plan`] | a tasking | [`plan::Plan`]: legs and area on the ground |
//! | [`matching`] | track and plan | [`matching::Matched`]: which leg was flown when, and what every other moment was |
//! | [`measure`] | what was matched | cross-track error, turns, speed and height, wind, time out of the area |
//! | [`coverage`] | what was matched | [`coverage::Coverage`] and [`coverage::Strip`]s with their holes |
//! | [`refly`] | strips | [`refly::Refly`]: legs over the holes |
//! | [`debrief`](mod@debrief) | all of the above | [`debrief::Debrief`]: one value that serialises |
//! | [`search`](mod@search) | debriefs of several sorties | [`search::Search`]: POD, POC and POS together, what to fly next |
//! | [`logbook`] | debriefs of many sorties | one file that keeps them, and what is asked of it |
//! | [`report`] | a debrief, a search or a plan | files |
//! | [`batch`] | many logs with their taskings | a debrief each, and a table of all |
//!
//! Where there is no tasking, [`infer`] writes one from the track. Beside the flow: [`units`], [`characters`],
//! [`geodesy`], [`detection`], [`terrain`] and [`input`] serve every stage, [`preflight`]
//! is the arithmetic of a plan before it is flown, [`simulate`] flies it, and [`cli`] is the command
//! line. A stage uses earlier stages only.
//!
//! Inside, everything is SI on the WGS 84 ellipsoid; courses are true; cross-track error is positive
//! right of the leg in the direction flown. Every formula and its source: `docs/method.md`.
//!
//! # Example
//!
//! A tasking is laid out, its flight simulated without leg 3, and debriefed:
//!
//! ```
//! use overflown::input::InputFile;
//! use overflown::simulate::{Fault, Settings, simulate};
//! use overflown::track::{HeightKind, Ledger, Reading, clean::clean};
//! use overflown::{debrief, plan, tasking};
//! use std::path::Path;
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let text = r#"
//!     sortie = "Kestrel 1"
//!     date = 2026-06-14
//!     [pattern]
//!     kind = "parallel sweep"
//!     start = [47.1000, 12.5000]
//!     first_course = "020 T"
//!     turn = "right"
//!     spacing = "0.5 NM"
//!     leg_length = "5 NM"
//!     legs = 6
//!     [flight]
//!     ground_speed = "90 kt"
//!     [detection]
//!     sweep_width = "0.5 NM"
//! "#;
//! let path = Path::new("kestrel.toml");
//! let tasking = tasking::parse(text, path)?;
//! let plan = plan::lay_out(&tasking, path)?;
//!
//! // A recorded log is read with `track::read::read`; this one is simulated.
//! let settings = Settings {
//!     faults: vec![Fault::SkipLeg(3)],
//!     ..Settings::for_tasking(&tasking)
//! };
//! let log = Path::new("kestrel.gpx");
//! let reading = Reading::of(
//!     InputFile::of("track", log, b""),
//!     None,
//!     vec![simulate(&plan, &settings, 1)?.fixes],
//!     HeightKind::MeanSeaLevel,
//!     Ledger::default(),
//! );
//! let track = clean(reading, &Default::default())?;
//!
//! let debrief = debrief::debrief(&track, log, &tasking, &plan)?;
//! println!("{:.0} % at target", 100.0 * debrief.coverage.share_at_target);
//! assert_eq!(debrief.strips_to_refly(), 1);
//! assert_eq!(debrief.refly.legs[0].mends, ["3"]);
//! # Ok(())
//! # }
//! ```

/// Texts from files, made fit to be shown.
pub mod characters;

/// What is remembered of input files, and the error that refuses one.
pub mod input;

/// What is wrong with a TIFF file, in words.
mod tiff_fault;

/// Quantities with their units.
pub mod units;

/// Equations and percentage points.
mod statistics;

/// Places and distances on the ellipsoid.
pub mod geodesy;

/// How likely an object is seen.
pub mod detection;

/// 1. The recorded flight.
pub mod track;

/// 2. What the crew was assigned.
pub mod tasking;
pub mod terrain;

/// A raster map below the map of the report.
pub mod backdrop;

/// 3. The assignment laid out on the ground.
pub mod plan;

/// The arithmetic beside the plan.
pub mod preflight;

/// 4. Which leg was flown when.
pub mod matching;

/// 5. How well it was tracked.
pub mod measure;

/// The plan of a flight without a tasking.
pub mod infer;

/// 6. Which ground was looked at.
pub mod coverage;

/// 7. The holes as legs to fly.
pub mod refly;

/// 8. All of it as one value.
pub mod debrief;

/// Several sorties as one search: cumulative POD, POC and POS, strips, and what to fly next.
pub mod search;

/// Flights of a pilot, one after the other: what changed, why, what to practise.
pub mod training;

/// Debriefs kept for training reviews.
pub mod logbook;

/// 9. That value as files.
pub mod report;

/// Many sorties debriefed one beside the other.
pub mod batch;

/// The flight before it is flown.
pub mod simulate;

/// What every report says about its limits.
pub mod cautions;

/// The command line.
pub mod cli;
