//! One sortie of a search, read back from its debrief.

use crate::characters::is_harmful;
use crate::coverage::Looks;
use crate::debrief::{Debrief, read};
use crate::geodesy::Position;
use crate::input::{InputError, InputFile};
use crate::measure::AlongSpan;
use crate::plan::{Leg, LegKind, PatternKind};
use crate::units::{Length, Speed};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// What a search needs of a sortie.
#[derive(Clone, Debug, Deserialize)]
pub struct Sortie {
    /// Where it comes from, for messages: its debrief, or its track log.
    #[serde(skip)]
    pub file: PathBuf,
    schema: String,
    /// Its name.
    #[serde(rename = "sortie")]
    pub name: String,
    /// Its day.
    pub date: NaiveDate,
    /// Who flew it. Debriefs of versions that did not know this name nobody.
    #[serde(default)]
    pub pilot: Option<String>,
    /// The files its debrief rests on.
    pub inputs: Vec<InputFile>,
    /// What was planned.
    pub plan: Planned,
    /// The planned search legs, in order.
    pub legs: Vec<LegState>,
    /// When it searched.
    pub area_time: Window,
    /// How well.
    pub coverage: Judged,
    /// What it looked at.
    pub looks: Looks,
    /// What it was recorded in.
    pub log: Recorded,
}

/// What a sortie was recorded in.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct Recorded {
    /// What was done with its times.
    pub taken: Timed,
}

/// What was done with the times of a log.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct Timed {
    /// They were made up, in whole or in part. Debriefs of versions that did not know this have none such.
    #[serde(default)]
    pub spread_times: bool,
}

/// What was planned.
#[derive(Clone, Debug, Deserialize)]
pub struct Planned {
    /// The pattern.
    pub pattern: PatternKind,
    /// Its legs.
    pub legs: Vec<Leg>,
    /// Track spacing S.
    #[serde(rename = "spacing_m")]
    pub spacing: Length,
    /// Corners of the area.
    pub area_corners: Vec<Position>,
    /// Whether the tasking gave the area itself.
    pub area_given: bool,
    /// Tasked height.
    #[serde(rename = "altitude_m")]
    pub altitude: Option<Length>,
    /// What was searched for.
    pub search_object: Option<String>,
    /// Tasked ground speed.
    #[serde(rename = "ground_speed_mps")]
    pub ground_speed: Speed,
}

/// What the log hides of a search leg.
#[derive(Clone, Debug, Deserialize)]
pub struct LegState {
    /// Stretches that may have been flown while the log has a hole.
    pub unrecorded: Vec<AlongSpan>,
}

/// Beginning and end of the search.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct Window {
    /// Entering the first leg.
    pub from: DateTime<Utc>,
    /// Leaving the last one.
    pub to: DateTime<Utc>,
}

/// What it was judged by.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct Judged {
    /// POD wanted across every strip.
    pub target_pod: f64,
    /// Size of its area, square metres.
    pub area_m2: f64,
}

impl Window {
    /// Whether the two have more than a moment in common.
    #[must_use]
    pub fn meets(self, other: Self) -> bool {
        self.from < other.to && other.from < self.to
    }
}

impl Sortie {
    /// Whether one of its track logs is one of the other's as well.
    #[must_use]
    pub fn rests_on_a_log_of(&self, other: &Self) -> bool {
        let logs = |sortie: &Self| {
            let logs = sortie.inputs.iter().filter(|input| input.role == "track");
            logs.map(|log| log.sha256.clone()).collect::<Vec<_>>()
        };
        logs(self).iter().any(|log| logs(other).contains(log))
    }

    /// A sortie debriefed just now.
    ///
    /// # Errors
    /// Only if serialisation itself fails, which for this type it does not.
    pub fn of(debrief: &Debrief) -> Result<Self, serde_json::Error> {
        let sortie: Self = serde_json::from_value(serde_json::to_value(debrief)?)?;
        let track = debrief.inputs.iter().find(|input| input.role == "track");
        Ok(Self {
            file: track.map_or_else(PathBuf::new, |track| PathBuf::from(&track.name)),
            ..sortie
        })
    }

    /// A sortie from the `debrief.json` that a debrief wrote.
    ///
    /// # Errors
    /// When the file cannot be read, is not a debrief, is one of another form of it, or was changed since.
    pub fn read(path: &Path) -> Result<Self, InputError> {
        let text = read::text(path)?;
        Self::parse(&text, path)
    }

    /// As [`read`](Self::read), of the text of a `debrief.json`; `path` is what messages call it.
    ///
    /// # Errors
    /// As [`read`](Self::read) has them, except those of the medium.
    pub fn parse(text: &str, path: &Path) -> Result<Self, InputError> {
        let sortie: Self = read::parse(text, path)?;
        match fault(&sortie) {
            Some(fault) => Err(InputError::new(
                path,
                None,
                format!("cannot be used: {fault}"),
                "debrief the log again with this version",
            )),
            None => Ok(Self {
                file: path.to_owned(),
                ..sortie
            }),
        }
    }

    /// The planned search legs, with what the log hides of each.
    pub fn search_legs(&self) -> impl Iterator<Item = (&Leg, &LegState)> {
        self.plan
            .legs
            .iter()
            .filter(|leg| leg.kind == LegKind::Search)
            .zip(&self.legs)
    }

    /// Its texts that reports show.
    fn texts(&self) -> impl Iterator<Item = &str> {
        let legs = self.plan.legs.iter().map(|leg| &leg.label);
        let passages = self.looks.passages.iter().map(|passage| &passage.leg);
        let inputs = self.inputs.iter();
        let inputs = inputs.flat_map(|input| [&input.role, &input.name, &input.sha256]);
        std::iter::once(&self.name)
            .chain(&self.pilot)
            .chain(&self.plan.search_object)
            .chain(legs)
            .chain(passages)
            .chain(inputs)
            .map(String::as_str)
    }

    /// Name of the form it was read from.
    #[must_use]
    pub fn schema(&self) -> &str {
        &self.schema
    }
}

/// The first value that no debrief writes, if there is one.
fn fault(sortie: &Sortie) -> Option<String> {
    let (plan, looks) = (&sortie.plan, &sortie.looks);
    let search_legs = || plan.legs.iter().filter(|leg| leg.kind == LegKind::Search);
    let width = looks.sweep_width;
    let spans = || sortie.legs.iter().flat_map(|leg| &leg.unrecorded);
    let ends_before = |from: Length, to: Length| to < from;
    let backwards = |from: DateTime<Utc>, to: DateTime<Utc>| to < from;
    let checks = [
        ("`plan.spacing_m` must be above 0", plan.spacing.m() <= 0.0),
        (
            "`plan.ground_speed_mps` must be above 0",
            plan.ground_speed.mps() <= 0.0,
        ),
        (
            "`plan.area_corners` must be three or more",
            plan.area_corners.len() < 3,
        ),
        (
            "`legs` must be as many as the search legs of `plan`",
            search_legs().count() != sortie.legs.len(),
        ),
        (
            "a search leg of `plan` must be longer than 0",
            search_legs().any(|leg| leg.length.m() <= 0.0),
        ),
        (
            "a stretch of `unrecorded` ends before it begins",
            spans().any(|span| ends_before(span.from, span.to)),
        ),
        (
            "`area_time` ends before it begins",
            backwards(sortie.area_time.from, sortie.area_time.to),
        ),
        (
            "`coverage.target_pod` must be above 0 and below 1",
            !(sortie.coverage.target_pod > 0.0 && sortie.coverage.target_pod < 1.0),
        ),
        (
            "`coverage.area_m2` must be above 0",
            sortie.coverage.area_m2 <= 0.0,
        ),
        ("`looks.sweep_width_m` must be above 0", width.m() <= 0.0),
        (
            "`looks.sweep_width_low_m` must be from 0 to W",
            !(0.0..=width.m()).contains(&looks.sweep_width_low.m()),
        ),
        (
            "`looks.sweep_width_high_m` must be W or more",
            looks.sweep_width_high < width,
        ),
        (
            "`looks.search_height_m` must be above 0",
            looks.search_height.is_some_and(|height| height.m() <= 0.0),
        ),
        (
            "`looks.spacing_m` must be above 0",
            looks.spacing.m() <= 0.0,
        ),
        (
            "`looks.blind_strip_m` must be 0 or more",
            looks.blind_strip.m() < 0.0,
        ),
        (
            "`looks.position_error_m` must be 0 or more",
            looks.position_error.m() < 0.0,
        ),
        (
            "a passage of `looks` ends before it begins",
            looks.passages.iter().any(|p| backwards(p.from, p.to)),
        ),
        (
            "`looks` names a place that is not on the earth",
            !looks.has_places_only(),
        ),
        (
            "a name in it holds control characters, or marks of the direction of writing",
            sortie.texts().any(|text| text.contains(is_harmful)),
        ),
    ];
    let (problem, _) = checks.into_iter().find(|(_, wrong)| *wrong)?;
    Some(problem.to_owned())
}
