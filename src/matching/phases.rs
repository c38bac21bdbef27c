//! What the crew was doing, moment by moment.

use chrono::{DateTime, Utc};
use serde::Serialize;

/// A phase of the flight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phase {
    /// Standing or taxiing.
    Ground,
    /// On the way to the area.
    TransitOut,
    /// Flying round the corners of the area before the search.
    BoundaryCheck,
    /// On a planned search leg.
    SearchLeg,
    /// A straight run in the area that is on no planned leg.
    AdditionalLeg,
    /// From one leg to another.
    Turn,
    /// Circling something.
    Orbit,
    /// Away from the pattern within the search window, for another reason.
    Excursion,
    /// On the way home.
    TransitHome,
    /// The log has a hole here.
    NotRecorded,
}

impl Phase {
    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ground => "ground",
            Self::TransitOut => "transit out",
            Self::BoundaryCheck => "boundary check",
            Self::SearchLeg => "search leg",
            Self::AdditionalLeg => "additional leg",
            Self::Turn => "turn",
            Self::Orbit => "orbit",
            Self::Excursion => "excursion",
            Self::TransitHome => "transit home",
            Self::NotRecorded => "not recorded",
        }
    }
}

/// A time spent in one phase.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PhaseSpan {
    /// Which phase.
    pub phase: Phase,
    /// Its beginning.
    pub from: DateTime<Utc>,
    /// Its end.
    pub to: DateTime<Utc>,
    /// Seconds in it.
    pub duration_s: f64,
    /// Distance flown in it; `None` where not recorded.
    #[serde(rename = "distance_m")]
    pub distance: Option<crate::units::Length>,
    /// Label of the leg, on a leg.
    pub leg: Option<String>,
    /// Index range of its fixes in the track.
    #[serde(skip)]
    pub fixes: std::ops::Range<usize>,
}
