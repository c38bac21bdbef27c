//! A sortie as a row of the summary: the figures by which many are sorted.

use crate::coverage::HoleCause;
use crate::debrief::Debrief;
use crate::measure::LegState;
use crate::report::columns::{Cells, Column};
use crate::track::read::ROLE;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};

/// A value of a row.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Cell {
    /// A text.
    Text(String),
    /// A whole number.
    Whole(i64),
    /// A number.
    Number(f64),
    /// Yes or no.
    Flag(bool),
    /// A day.
    Day(NaiveDate),
    /// A moment.
    Moment(DateTime<Utc>),
}

/// The row of a sortie: a value for each of the [`columns`], `None` where it is not known.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Row(pub Vec<Option<Cell>>);

/// How the value of a column is taken from a debrief.
enum Take {
    Text(fn(&Debrief) -> Option<String>),
    Whole(fn(&Debrief) -> usize),
    /// With this many decimals: no more than the figure deserves, and few enough that a number is the same after it was written
    /// and read.
    Number(i32, fn(&Debrief) -> Option<f64>),
    Flag(fn(&Debrief) -> Option<bool>),
    Day(fn(&Debrief) -> NaiveDate),
    Moment(fn(&Debrief) -> Option<DateTime<Utc>>),
}

use Take::{Day, Flag, Moment, Number, Text, Whole};

/// The column that says how many strips are to be flown again.
pub(super) const STRIPS_TO_REFLY: &str = "strips_to_refly";

/// The columns, in order. What each means is in `docs/batch.md`.
const COLUMNS: [(&str, Take); 62] = [
    ("sortie", Text(|d| Some(d.sortie.clone()))),
    ("date", Day(|d| d.date)),
    ("pilot", Text(|d| d.pilot.clone())),
    ("pattern", Text(|d| Some(d.plan.pattern.key().to_owned()))),
    ("plan_inferred", Flag(|d| Some(d.plan.inferred))),
    ("track_logs", Text(|d| Some(inputs(d, ROLE)))),
    ("tasking", Text(|d| Some(inputs(d, "tasking")))),
    ("flying_from_utc", Moment(|d| d.log.flying_from)),
    ("flying_to_utc", Moment(|d| d.log.flying_to)),
    ("search_from_utc", Moment(|d| Some(d.area_time.from))),
    ("search_to_utc", Moment(|d| Some(d.area_time.to))),
    ("search_s", Number(0, |d| Some(d.area_time.window_s))),
    ("on_legs_s", Number(0, |d| Some(d.area_time.on_legs_s))),
    ("outside_area_s", Number(0, |d| Some(d.area_time.outside_s))),
    ("straying_s", Number(0, |d| Some(d.area_time.excursion_s))),
    (
        "not_recorded_s",
        Number(0, |d| Some(d.area_time.not_recorded_s)),
    ),
    ("legs_planned", Whole(|d| d.legs.len())),
    ("legs_flown", Whole(|d| legs(d, LegState::Flown))),
    (
        "legs_flown_in_part",
        Whole(|d| legs(d, LegState::FlownInPart)),
    ),
    (
        "legs_flown_in_turn",
        Whole(|d| legs(d, LegState::FlownInTurn)),
    ),
    ("legs_not_flown", Whole(|d| legs(d, LegState::NotFlown))),
    (
        "legs_not_recorded",
        Whole(|d| legs(d, LegState::NotRecorded)),
    ),
    ("additional_legs", Whole(|d| d.additional_legs.len())),
    (
        "pattern_moved",
        Flag(|d| d.pattern_shift.as_ref().map(|shift| shift.moved)),
    ),
    ("strips", Whole(|d| d.strips.len())),
    (STRIPS_TO_REFLY, Whole(Debrief::strips_to_refly)),
    ("holes_missed", Whole(|d| holes(d, HoleCause::Missed))),
    (
        "holes_not_recorded",
        Whole(|d| holes(d, HoleCause::NotRecorded)),
    ),
    ("refly_legs", Whole(|d| d.refly.legs.len())),
    (
        "refly_nm",
        Number(1, |d| Some(d.refly.outcome.total_length.nm())),
    ),
    ("refly_s", Number(0, |d| Some(d.refly.outcome.duration_s))),
    ("law", Text(|d| Some(d.coverage.law.name().to_owned()))),
    ("pod", Number(4, |d| Some(d.coverage.pod_band.pod))),
    ("pod_low", Number(4, |d| Some(d.coverage.pod_band.low))),
    ("pod_high", Number(4, |d| Some(d.coverage.pod_band.high))),
    (
        "pod_inverse_cube",
        Number(4, |d| Some(d.coverage.pod.inverse_cube)),
    ),
    (
        "pod_exponential",
        Number(4, |d| Some(d.coverage.pod.exponential)),
    ),
    (
        "pod_definite_range",
        Number(4, |d| Some(d.coverage.pod.definite_range)),
    ),
    ("target_pod", Number(4, |d| Some(d.coverage.target_pod))),
    (
        "share_at_target",
        Number(4, |d| Some(d.coverage.share_at_target)),
    ),
    (
        "coverage_factor_flown",
        Number(3, |d| Some(d.coverage.flown_coverage_factor)),
    ),
    (
        "coverage_factor_planned",
        Number(3, |d| Some(d.coverage.planned_coverage_factor)),
    ),
    (
        "sweep_width_nm",
        Number(3, |d| Some(d.coverage.sweep_width.nm())),
    ),
    ("spacing_nm", Number(3, |d| Some(d.plan.spacing.nm()))),
    (
        "area_nm2",
        Number(2, |d| Some(d.coverage.area_m2 / (M_PER_NM * M_PER_NM))),
    ),
    (
        "searching_track_nm",
        Number(1, |d| Some(d.coverage.searching_track.nm())),
    ),
    (
        "xte_mean_m",
        Number(1, |d| Some(d.tracking.as_ref()?.mean.m())),
    ),
    ("xte_sd_m", Number(1, |d| Some(d.tracking.as_ref()?.sd.m()))),
    (
        "xte_rms_m",
        Number(1, |d| Some(d.tracking.as_ref()?.rms.m())),
    ),
    (
        "xte_p95_m",
        Number(1, |d| Some(d.tracking.as_ref()?.p95.m())),
    ),
    (
        "xte_max_m",
        Number(1, |d| Some(d.tracking.as_ref()?.max.m())),
    ),
    (
        "xte_tolerance_m",
        Number(1, |d| Some(d.tolerances.cross_track.m())),
    ),
    (
        "within_tolerance",
        Number(4, |d| Some(d.tracking.as_ref()?.within_tolerance)),
    ),
    (
        "ground_speed_mean_kt",
        Number(1, |d| Some(d.handling.as_ref()?.ground_speed_mean.kt())),
    ),
    (
        "ground_speed_tasked_kt",
        Number(1, |d| Some(d.plan.ground_speed.kt())),
    ),
    (
        "height_mean_ft",
        Number(0, |d| Some(d.handling.as_ref()?.height_mean?.ft())),
    ),
    (
        "wind_from_true_deg",
        Number(0, |d| Some(d.wind.as_ref()?.from.deg())),
    ),
    ("wind_kt", Number(0, |d| Some(d.wind.as_ref()?.speed.kt()))),
    ("fixes", Whole(|d| d.log.fixes_kept)),
    ("gaps", Whole(|d| d.log.gaps.len())),
    (
        "findings",
        Whole(|d| d.log.ledger_counts.iter().map(|(_, n)| n).sum()),
    ),
    ("remarks", Whole(|d| d.remarks.len())),
];

/// Metres of a nautical mile.
const M_PER_NM: f64 = crate::units::Length::from_nm(1.0).m();

impl Row {
    /// Of a debrief.
    #[must_use]
    pub fn of(debrief: &Debrief) -> Self {
        let cell = |(_, take): &(&str, Take)| match take {
            Text(text) => text(debrief).map(Cell::Text),
            Whole(whole) => Some(Cell::Whole(whole(debrief) as i64)),
            Number(decimals, number) => {
                let number = number(debrief).filter(|number| number.is_finite());
                number.map(|number| Cell::Number(rounded(number, *decimals)))
            }
            Flag(flag) => flag(debrief).map(Cell::Flag),
            Day(day) => Some(Cell::Day(day(debrief))),
            Moment(moment) => moment(debrief).map(Cell::Moment),
        };
        Self(COLUMNS.iter().map(cell).collect())
    }

    /// The whole number in a column.
    #[must_use]
    pub fn whole(&self, column: &str) -> Option<i64> {
        let at = COLUMNS.iter().position(|(name, _)| *name == column)?;
        match self.0.get(at)? {
            Some(Cell::Whole(whole)) => Some(*whole),
            _ => None,
        }
    }
}

/// Rows as a table.
#[must_use]
pub fn columns(rows: &[Row]) -> Vec<Column> {
    let column = |(at, (name, take)): (usize, &(&str, Take))| {
        let cells = || rows.iter().map(|row| row.0.get(at).cloned().flatten());
        /// The values of one kind.
        macro_rules! of {
            ($kind:ident) => {
                cells()
                    .map(|cell| match cell {
                        Some(Cell::$kind(value)) => Some(value),
                        _ => None,
                    })
                    .collect()
            };
        }
        let cells = match take {
            Text(_) => Cells::Texts(of!(Text)),
            Whole(_) => Cells::Whole(of!(Whole)),
            Number(..) => Cells::Numbers(of!(Number)),
            Flag(_) => Cells::Flags(of!(Flag)),
            Day(_) => Cells::Days(of!(Day)),
            Moment(_) => Cells::Moments(of!(Moment)),
        };
        Column::new(*name, cells)
    };
    COLUMNS.iter().enumerate().map(column).collect()
}

fn rounded(number: f64, decimals: i32) -> f64 {
    let steps = 10_f64.powi(decimals);
    // Nothing to the left of zero is zero as well.
    (number * steps).round() / steps + 0.0
}

fn inputs(debrief: &Debrief, role: &str) -> String {
    let inputs = debrief.inputs.iter().filter(|input| input.role == role);
    let names: Vec<&str> = inputs.map(|input| input.name.as_str()).collect();
    names.join(" | ")
}

fn legs(debrief: &Debrief, state: LegState) -> usize {
    let mut legs = debrief.legs.iter();
    legs.by_ref().filter(|leg| leg.state == state).count()
}

fn holes(debrief: &Debrief, cause: HoleCause) -> usize {
    let holes = debrief.strips.iter().flat_map(|strip| &strip.holes);
    holes.filter(|hole| hole.cause == cause).count()
}
