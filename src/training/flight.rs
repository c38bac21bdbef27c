//! One flight of a pattern, as far as training looks at it: taken from its debrief.

use crate::debrief::{Debrief, read};
use crate::geodesy::{Position, geodesic};
use crate::input::InputError;
use crate::measure::shift::{Slip, SlipKind};
use crate::plan::{LegKind, PatternKind};
use crate::tasking::Side;
use crate::units::Bearing;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use std::path::Path;

/// Version of [`Flight`] as it is kept; another one is made anew from the debrief.
pub const VERSION: u32 = 2;

/// Points kept of a cross-track profile. Chosen: every 200 m of a leg of 25 km.
const PROFILE_POINTS: usize = 120;

/// A pattern that lay elsewhere did so by little up to this, spacings. Chosen: a quarter, as the cross-track tolerance of debriefs.
const SMALL_MOVE: f64 = 0.25;

/// A flight.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Flight {
    /// Name of the sortie.
    pub sortie: String,
    /// Who flew it, if it is known.
    pub pilot: Option<String>,
    /// First moment of the log.
    pub started: DateTime<Utc>,
    /// The pattern.
    pub pattern: PatternKind,
    /// Its plan was found in the flight itself, so that no place of it can be judged.
    pub inferred: bool,
    /// Track spacing, metres.
    pub spacing_m: f64,
    /// Tasked ground speed, metres a second.
    pub ground_speed_mps: f64,
    /// Position error that the debrief reckons with (95 %), metres.
    pub position_error_m: f64,
    /// Seconds from fix to fix.
    pub interval_s: f64,
    /// The wind found in the flight, if it could be told.
    pub wind: Option<Wind>,
    /// Passes along planned legs, in the order flown.
    pub legs: Vec<LegFlown>,
    /// Turns between them.
    pub turns: Vec<TurnFlown>,
    /// The planned search legs, in order, and what was flown of each.
    pub planned: Vec<LegPlanned>,
    /// Seconds between entering the first leg and leaving the last.
    pub window_s: f64,
    /// Of these, outside the area other than in turns.
    pub outside_s: f64,
    /// The pattern as a whole lay elsewhere, and why, as the debrief tells.
    pub slips: Vec<Slip>,
    /// By how far it lay elsewhere at the farther end of its longest leg, metres: shifted and turned.
    pub moved_m: f64,
}

/// Wind.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Wind {
    /// Where it comes from, true.
    pub from_true_deg: f64,
    /// How strong it is.
    pub speed_mps: f64,
}

/// One pass along a planned leg, in the direction flown.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LegFlown {
    /// Label of the leg.
    pub label: String,
    /// Flown against the planned direction.
    pub reversed: bool,
    /// Crossing onto it.
    pub entered: DateTime<Utc>,
    /// Where the leg begins and ends in the direction flown.
    pub start: Position,
    /// See `start`.
    pub end: Position,
    /// Course of the leg at its middle in the direction flown, true.
    pub course_deg: f64,
    /// Its length.
    pub length_m: f64,
    /// Mean XTE, right positive, from being established on.
    pub mean_m: f64,
    /// Standard deviation about it.
    pub sd_m: f64,
    /// |XTE| not exceeded over 95 % of the way.
    pub p95_m: f64,
    /// The XTE largest in size, and where it was.
    pub worst_m: f64,
    /// Distance flown along the leg to there.
    pub worst_along_m: f64,
    /// The place.
    pub worst_at: Position,
    /// When it was.
    pub worst_time: DateTime<Utc>,
    /// Wind across, from left to right positive.
    pub crosswind_mps: Option<f64>,
    /// Mean ground speed and its standard deviation.
    pub ground_speed_mps: f64,
    /// See `ground_speed_mps`.
    pub ground_speed_sd_mps: f64,
    /// Mean height less the tasked altitude, and its standard deviation; `None` without either.
    pub height_off_m: Option<f64>,
    /// See `height_off_m`.
    pub height_sd_m: Option<f64>,
    /// Distance along the leg to where the flight of it ends.
    pub left_m: f64,
    /// Points of (distance along the leg in the direction flown, XTE), by recorded stretch.
    pub profile: Vec<Vec<(f64, f64)>>,
    /// Seconds from entering the leg to each point of the profile; empty where the debrief does not tell them.
    pub profile_s: Vec<Vec<f64>>,
}

/// A turn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TurnFlown {
    /// Leg left and leg joined.
    pub after: String,
    /// See `after`.
    pub before: String,
    /// When it began.
    pub from: DateTime<Utc>,
    /// The side it went to.
    pub side: Side,
    /// How far past the planned end of the leg left it went; negative before it.
    pub past_end_m: Option<f64>,
    /// How far past the line of the leg joined.
    pub past_next_leg_m: Option<f64>,
    /// By how much the course changes from leg to leg, degrees, 0 to 180.
    pub change_deg: Option<f64>,
}

/// A planned search leg.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LegPlanned {
    /// Label.
    pub label: String,
    /// Length.
    pub length_m: f64,
    /// Share flown.
    pub flown_share: f64,
    /// Share that the log has a hole over.
    pub unrecorded_share: f64,
}

/// Puts flights into the order flown.
pub fn in_order(flights: &mut [Flight]) {
    flights.sort_by(|a, b| (a.started, &a.sortie).cmp(&(b.started, &b.sortie)));
}

/// Leaves names out: the flights are called by their number, in the order flown.
pub fn anonymise(flights: &mut [Flight]) {
    in_order(flights);
    for (number, flight) in (1..).zip(flights) {
        flight.pilot = None;
        flight.sortie = format!("Flight {number}");
    }
}

/// Two flights that began at the same moment, which are two debriefs of one.
#[must_use]
pub fn twice(flights: &[Flight]) -> Option<(&Flight, &Flight)> {
    flights.iter().enumerate().find_map(|(i, one)| {
        let mut later = flights.iter().skip(i + 1);
        Some((one, later.find(|other| other.started == one.started)?))
    })
}

impl Flight {
    /// Of a flight debriefed just now.
    ///
    /// # Errors
    /// Only if serialisation itself fails, which for this type it does not.
    pub fn of(debrief: &Debrief) -> Result<Self, serde_json::Error> {
        let told: Told = serde_json::from_value(serde_json::to_value(debrief)?)?;
        Ok(told.flight())
    }

    /// From the text of a `debrief.json`; `path` is what messages call it.
    ///
    /// # Errors
    /// When it is no debrief, one of another form, or was changed since it was written.
    pub fn parse(text: &str, path: &Path) -> Result<Self, InputError> {
        Ok(read::parse::<Told>(text, path)?.flight())
    }

    /// From the `debrief.json` at `path`.
    ///
    /// # Errors
    /// As [`parse`](Self::parse) has them, and when it cannot be read.
    pub fn read(path: &Path) -> Result<Self, InputError> {
        Self::parse(&read::text(path)?, path)
    }

    /// Whether the pattern as a whole lay elsewhere by more than bias, drift and wandering explain. In a sweep drift and a shift across the legs look the
    /// same on one flight, so what is small is left to those.
    #[must_use]
    pub fn is_moved(&self) -> bool {
        let large = self.moved_m > SMALL_MOVE * self.spacing_m;
        let tells = |slip: &Slip| large || slip.slip == SlipKind::OtherSide;
        self.slips.iter().any(tells)
    }

    /// The first pass along each planned leg, in the order of the plan.
    pub fn first_passes(&self) -> impl Iterator<Item = Option<&LegFlown>> {
        let of = |label: &str| self.legs.iter().find(|leg| leg.label == label);
        self.planned.iter().map(move |leg| of(&leg.label))
    }
}

/// What training needs of `debrief.json`.
#[derive(Deserialize)]
struct Told {
    sortie: String,
    #[serde(default)]
    pilot: Option<String>,
    log: Log,
    plan: Plan,
    passes: Vec<Pass>,
    legs: Vec<Leg>,
    turns: Vec<Turn>,
    wind: Option<Wind>,
    area_time: AreaTime,
    pattern_shift: Option<Shift>,
    looks: Looks,
}

#[derive(Deserialize)]
struct Log {
    first: DateTime<Utc>,
    median_interval_s: f64,
}

#[derive(Deserialize)]
struct Plan {
    pattern: PatternKind,
    legs: Vec<PlannedLeg>,
    spacing_m: f64,
    inferred: bool,
    ground_speed_mps: f64,
    altitude_m: Option<f64>,
}

#[derive(Deserialize)]
struct PlannedLeg {
    label: String,
    kind: LegKind,
    start: Position,
    end: Position,
    length_m: f64,
    altitude_m: Option<f64>,
}

#[derive(Deserialize)]
struct Pass {
    leg: String,
    reversed: bool,
    entered: DateTime<Utc>,
    recorded: Vec<Span>,
    tracking: Tracking,
    handling: Handling,
    crosswind_mps: Option<f64>,
    profile: Vec<Vec<ProfilePoint>>,
}

#[derive(Deserialize)]
struct Span {
    from_m: f64,
    to_m: f64,
}

#[derive(Deserialize)]
struct Tracking {
    xte_mean_m: f64,
    xte_sd_m: f64,
    xte_p95_m: f64,
    xte_max_m: f64,
    xte_max_along_m: f64,
    max_position: Position,
    max_time: DateTime<Utc>,
}

#[derive(Deserialize)]
struct Handling {
    ground_speed_mean_mps: f64,
    ground_speed_sd_mps: f64,
    height_mean_m: Option<f64>,
    height_sd_m: Option<f64>,
}

#[derive(Deserialize)]
struct ProfilePoint {
    along_m: f64,
    xte_m: f64,
    after_s: Option<f64>,
}

#[derive(Deserialize)]
struct Leg {
    leg: String,
    flown_share: f64,
    unrecorded_share: f64,
}

#[derive(Deserialize)]
struct Turn {
    after: String,
    before: String,
    from: DateTime<Utc>,
    side: Side,
    past_end_m: Option<f64>,
    past_next_leg_m: Option<f64>,
}

#[derive(Deserialize)]
struct AreaTime {
    window_s: f64,
    outside: Vec<Outside>,
}

#[derive(Deserialize)]
struct Outside {
    kind: String,
    duration_s: f64,
}

#[derive(Deserialize)]
struct Shift {
    turned_deg: f64,
    offset: Offset,
    slips: Vec<Slip>,
}

#[derive(Deserialize)]
struct Offset {
    distance_m: f64,
}

#[derive(Deserialize)]
struct Looks {
    position_error_m: f64,
}

impl Told {
    fn flight(self) -> Flight {
        let search: Vec<&PlannedLeg> = self
            .plan
            .legs
            .iter()
            .filter(|leg| leg.kind == LegKind::Search)
            .collect();
        let longest_m = search.iter().map(|leg| leg.length_m).fold(0.0, f64::max);
        let planned = |label: &str| search.iter().copied().find(|leg| leg.label == label);
        let legs: Vec<LegFlown> = self
            .passes
            .iter()
            .filter_map(|pass| Some(pass.flown(planned(&pass.leg)?, self.plan.altitude_m)))
            .collect();
        let course = |label: &str, near: DateTime<Utc>| {
            let of = legs.iter().filter(|leg| leg.label == label);
            of.min_by_key(|leg| (leg.entered - near).abs())
                .map(|leg| leg.course_deg)
        };
        let turns = self.turns.into_iter().map(|turn| {
            let courses = course(&turn.after, turn.from).zip(course(&turn.before, turn.from));
            let change = |(a, b): (f64, f64)| Bearing::from_deg(a).turn_to(Bearing::from_deg(b));
            TurnFlown {
                change_deg: courses.map(change).map(f64::abs),
                after: turn.after,
                before: turn.before,
                from: turn.from,
                side: turn.side,
                past_end_m: turn.past_end_m,
                past_next_leg_m: turn.past_next_leg_m,
            }
        });
        let turns = turns.collect();
        let flown = self.legs.iter().filter_map(|leg| {
            Some(LegPlanned {
                label: leg.leg.clone(),
                length_m: planned(&leg.leg)?.length_m,
                flown_share: leg.flown_share,
                unrecorded_share: leg.unrecorded_share,
            })
        });
        let planned = flown.collect();
        let outside = self.area_time.outside.iter();
        // Turns may be flown outside.
        let outside_s = outside
            .filter(|span| span.kind != "turn")
            .map(|span| span.duration_s)
            .sum();
        Flight {
            sortie: self.sortie,
            pilot: self.pilot,
            started: self.log.first,
            pattern: self.plan.pattern,
            inferred: self.plan.inferred,
            spacing_m: self.plan.spacing_m,
            ground_speed_mps: self.plan.ground_speed_mps,
            position_error_m: self.looks.position_error_m,
            interval_s: self.log.median_interval_s,
            wind: self.wind,
            legs,
            turns,
            planned,
            window_s: self.area_time.window_s,
            outside_s,
            moved_m: self.pattern_shift.as_ref().map_or(0.0, |shift| {
                shift.offset.distance_m + longest_m * shift.turned_deg.to_radians().abs()
            }),
            slips: self
                .pattern_shift
                .map_or_else(Vec::new, |shift| shift.slips),
        }
    }
}

impl Pass {
    fn flown(&self, leg: &PlannedLeg, altitude_m: Option<f64>) -> LegFlown {
        let along = |from_start_m: f64| {
            if self.reversed {
                leg.length_m - from_start_m
            } else {
                from_start_m
            }
        };
        let (start, end) = if self.reversed {
            (leg.end, leg.start)
        } else {
            (leg.start, leg.end)
        };
        let line = geodesic::between(start, end);
        // Over the length of a leg the course changes evenly.
        let half = line.course_at_start.turn_to(line.course_at_end) / 2.0;
        let altitude = leg.altitude_m.or(altitude_m);
        let height_off = self.handling.height_mean_m.zip(altitude);
        let ends = self.recorded.iter().flat_map(|s| [s.from_m, s.to_m]);
        LegFlown {
            label: self.leg.clone(),
            reversed: self.reversed,
            entered: self.entered,
            start,
            end,
            course_deg: line.course_at_start.turned(half).deg(),
            length_m: leg.length_m,
            mean_m: self.tracking.xte_mean_m,
            sd_m: self.tracking.xte_sd_m,
            p95_m: self.tracking.xte_p95_m,
            worst_m: self.tracking.xte_max_m,
            worst_along_m: along(self.tracking.xte_max_along_m),
            worst_at: self.tracking.max_position,
            worst_time: self.tracking.max_time,
            crosswind_mps: self.crosswind_mps,
            ground_speed_mps: self.handling.ground_speed_mean_mps,
            ground_speed_sd_mps: self.handling.ground_speed_sd_mps,
            height_off_m: height_off.map(|(mean, altitude)| mean - altitude),
            height_sd_m: self.handling.height_sd_m.filter(|_| height_off.is_some()),
            left_m: ends.map(along).fold(0.0, f64::max),
            profile: kept(&self.profile, |point| {
                Some((centi(along(point.along_m)), centi(point.xte_m)))
            })
            .unwrap_or_default(),
            profile_s: kept(&self.profile, |point| point.after_s.map(centi)).unwrap_or_default(),
        }
    }
}

/// Rounded to a hundredth.
fn centi(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

/// What is told of the points of the profile, of no more than are kept; the first and the last of each stretch are. `None` where one does not tell it.
fn kept<T>(
    profile: &[Vec<ProfilePoint>],
    told: impl Fn(&ProfilePoint) -> Option<T>,
) -> Option<Vec<Vec<T>>> {
    let all: usize = profile.iter().map(Vec::len).sum();
    let step = all.div_ceil(PROFILE_POINTS).max(1);
    let of_stretch = |stretch: &Vec<ProfilePoint>| {
        let last = stretch.len().saturating_sub(1);
        let points = stretch.iter().enumerate();
        points
            .filter(|(i, _)| i % step == 0 || *i == last)
            .map(|(_, point)| told(point))
            .collect()
    };
    profile.iter().map(of_stretch).collect()
}
