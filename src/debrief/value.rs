//! A debriefed sortie as one value, from which every report is written.

use crate::backdrop::Picture;
use crate::coverage::{Coverage, Growth, Hole, Looks, Raster, Strip};
use crate::geodesy::{Declination, Position};
use crate::infer::{Inferred, Tasked as InferredTasking};
use crate::input::InputFile;
use crate::matching::{Phase, PhaseSpan};
use crate::measure::{
    AboveGround, AdditionalLeg, AreaTime, Flown, Handling, LegReport, Pass, PatternShift,
    PhaseTotal, Tracking, Turn, Wind,
};
use crate::plan::{Leg, LegKind, PatternKind};
use crate::refly::Refly;
use crate::refly::tasked::Tasked;
use crate::track::{Entry, Finding, Gap, HeightKind, LogTrack, Taken};
use crate::units::{Length, Speed};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use std::sync::Arc;

/// Name and version of the JSON form; the number rises when a field changes meaning or goes away.
pub const SCHEMA: &str = "overflown-debrief/1";

/// What the log held.
#[derive(Clone, Debug, Serialize)]
pub struct LogSummary {
    /// Name of the track in the file; where several tracks were taken, their names.
    pub track_name: Option<String>,
    /// The tracks that the files hold, taken or not. Their `file`, and that of the entries of the ledger,
    /// counts those `inputs` whose role is `track`, from 0.
    pub tracks: Vec<LogTrack>,
    /// What was done with the times, and what was left out for it.
    pub taken: Taken,
    /// First fix kept.
    pub first: DateTime<Utc>,
    /// Last fix kept.
    pub last: DateTime<Utc>,
    /// First fix at flying speed after the take-off; `None` if nothing was flown.
    pub flying_from: Option<DateTime<Utc>>,
    /// Last fix at flying speed before the landing.
    pub flying_to: Option<DateTime<Utc>>,
    /// Points in the files.
    pub points_read: usize,
    /// Points left out because they were not asked for: of tracks not taken, outside the window of time,
    /// or in another track or file as well.
    pub points_left_out: usize,
    /// Fixes kept.
    pub fixes_kept: usize,
    /// Median time between fixes, seconds.
    pub median_interval_s: f64,
    /// Longest step still counted as recorded, seconds.
    pub gap_limit_s: f64,
    /// What the heights of the log are measured from.
    pub height_kind: HeightKind,
    /// Times without fixes.
    pub gaps: Vec<Gap>,
    /// Ledger: how many points of each finding.
    pub ledger_counts: Vec<(Finding, usize)>,
    /// Ledger: the first entries of each finding.
    pub ledger: Vec<Entry>,
    /// Entries of the ledger that are left out here.
    pub ledger_left_out: usize,
}

/// What was planned.
#[derive(Clone, Debug, Serialize)]
pub struct PlanSummary {
    /// The pattern.
    pub pattern: PatternKind,
    /// Its legs, search and cross, in order.
    pub legs: Vec<Leg>,
    /// Track spacing S.
    #[serde(rename = "spacing_m")]
    pub spacing: Length,
    /// Corners of the area.
    pub area_corners: Vec<Position>,
    /// Whether the tasking says that it was worked out from the flight itself.
    pub inferred: bool,
    /// Whether the tasking gave the area (else it is the convex hull of the strips).
    pub area_given: bool,
    /// Declination at the start of the pattern, or at the area's centre where none is tasked.
    pub declination: Option<Declination>,
    /// Tasked ground speed.
    #[serde(rename = "ground_speed_mps")]
    pub ground_speed: Speed,
    /// Tasked altitude.
    #[serde(rename = "altitude_m")]
    pub altitude: Option<Length>,
    /// What is searched for.
    pub search_object: Option<String>,
    /// How the plan came out.
    pub notes: Vec<String>,
}

/// The tolerances that were applied.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct TolerancesUsed {
    /// Cross-track error.
    #[serde(rename = "cross_track_m")]
    pub cross_track: Length,
    /// Height.
    #[serde(rename = "altitude_m")]
    pub altitude: Length,
    /// Ground speed.
    #[serde(rename = "ground_speed_mps")]
    pub ground_speed: Speed,
}

/// A piece of the flown track, thinned for drawing, in one phase.
#[derive(Clone, Debug, Serialize)]
pub struct TrackPiece {
    /// The phase.
    pub phase: Phase,
    /// Label of the leg, on a leg.
    pub leg: Option<String>,
    /// The line, in the order flown.
    pub line: Vec<Position>,
}

/// The area after the re-fly, if it is flown as planned.
#[derive(Clone, Debug)]
pub struct AfterRefly {
    /// POD by cell.
    pub raster: Raster,
    /// The holes left.
    pub holes: Vec<Hole>,
}

/// A debriefed sortie.
#[derive(Clone, Debug, Serialize)]
pub struct Debrief {
    /// [`SCHEMA`].
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Name of the sortie.
    pub sortie: String,
    /// Day of the sortie, from the tasking.
    pub date: NaiveDate,
    /// Who flew the pattern, from the tasking; `None` if it does not say so.
    pub pilot: Option<String>,
    /// The files it rests on.
    pub inputs: Vec<InputFile>,
    /// What the log held.
    pub log: LogSummary,
    /// What was planned.
    pub plan: PlanSummary,
    /// Tolerances applied.
    pub tolerances: TolerancesUsed,
    /// The flight, phase by phase.
    pub phases: Vec<PhaseSpan>,
    /// Time in each phase.
    pub phase_totals: Vec<PhaseTotal>,
    /// Every passage along a planned search leg, in the order flown.
    pub passes: Vec<Pass>,
    /// Every planned search leg.
    pub legs: Vec<LegReport>,
    /// Straight runs inside the area on no planned leg.
    pub additional_legs: Vec<AdditionalLeg>,
    /// Turns between legs.
    pub turns: Vec<Turn>,
    /// The pattern as a whole against the plan; `None` where the lines flown do not settle it.
    pub pattern_shift: Option<PatternShift>,
    /// XTE over all passes.
    pub tracking: Option<Tracking>,
    /// Speed and height over all legs flown, planned (with the straight flight past their ends) and
    /// additional.
    pub handling: Option<Handling>,
    /// Height above the ground, where terrain was given.
    pub above_ground: Option<AboveGround>,
    /// Wind, where the courses flown allow an estimate.
    pub wind: Option<Wind>,
    /// Search window and time out of the area.
    pub area_time: AreaTime,
    /// Detection over the area.
    pub coverage: Coverage,
    /// Strips and holes.
    pub strips: Vec<Strip>,
    /// What was looked at, for the search as a whole.
    pub looks: Looks,
    /// How the plan was worked out from this flight, where no tasking was given.
    pub inference: Option<Inferred>,
    /// The tasking file of that plan.
    #[serde(skip)]
    pub inferred_tasking: Option<String>,
    /// The holes as legs to fly.
    pub refly: Refly,
    /// The same as a tasking, laid out; `None` where there is nothing to fly again.
    #[serde(skip)]
    pub refly_tasked: Option<Tasked>,
    /// What the re-fly would leave; `None` where there is nothing to fly again.
    #[serde(skip)]
    pub after_refly: Option<AfterRefly>,
    /// The flown track for drawing.
    pub track: Vec<TrackPiece>,
    /// The flight fix by fix.
    #[serde(skip)]
    pub flown: Flown,
    /// How the coverage grew while it was flown.
    #[serde(skip)]
    pub growth: Growth,
    /// The raster map below the maps of the reports, in the plane of the raster; `None` where none is given.
    #[serde(skip)]
    pub backdrop: Option<Arc<Picture>>,
    /// What a reader must bear in mind about this debrief in particular.
    pub remarks: Vec<String>,
    /// General cautions.
    pub cautions: Vec<String>,
}

impl PlanSummary {
    /// Lowest and highest altitude to hold on the search legs; `None` if none was tasked.
    #[must_use]
    pub fn altitudes(&self) -> Option<(Length, Length)> {
        let legs = self.legs.iter().filter(|leg| leg.kind == LegKind::Search);
        legs.filter_map(|leg| leg.altitude.or(self.altitude)).fold(
            None,
            |range: Option<(Length, Length)>, altitude| {
                let (low, high) = range.unwrap_or((altitude, altitude));
                Some((
                    if altitude < low { altitude } else { low },
                    if altitude > high { altitude } else { high },
                ))
            },
        )
    }
}

/// Said where the lines flown lie elsewhere than the plan inferred from them by more than chance.
const UNLIKE: &str = "The lines flown do not all fit the inferred plan: part of them lies turned or shifted against it. \
     Lay the plan over the track before it is used.";

impl Debrief {
    /// With how its plan was inferred, and the tasking file of that plan.
    #[must_use]
    pub fn with_inference(mut self, plan: InferredTasking) -> Self {
        let own = plan.inferred.remarks();
        // It lies where the flight lay: no slip of the crew shows in it, but what does not fit is to be said.
        if let Some(moved) = self.pattern_shift.take_if(|shift| shift.moved) {
            let of_a_slip = |remark: &String| {
                let mut slips = moved.slips.iter();
                slips.any(|slip| remark.contains(&slip.words))
            };
            self.remarks.retain(|remark| !of_a_slip(remark));
            self.remarks.push(UNLIKE.to_owned());
        }
        // After what is said of every inferred plan.
        let at = self.remarks.len().min(1);
        self.remarks.splice(at..at, own);
        self.inference = Some(plan.inferred);
        self.inferred_tasking = Some(plan.text);
        self
    }

    /// The same with a raster map below its maps: no figure comes from it.
    #[must_use]
    pub fn with_backdrop(mut self, picture: Picture) -> Self {
        self.inputs.extend(picture.inputs.iter().cloned());
        self.backdrop = Some(Arc::new(picture));
        self
    }

    /// Number of strips with holes.
    #[must_use]
    pub fn strips_to_refly(&self) -> usize {
        self.strips
            .iter()
            .filter(|strip| strip.needs_refly())
            .count()
    }
}
