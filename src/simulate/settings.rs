//! How the flight is to be flown and recorded.

use super::SimulateError;
use super::faults::Fault;
use crate::geodesy::Position;
use crate::tasking::{PatternTask, Tasking};
use crate::units::{Bearing, Length, Speed};
use chrono::{DateTime, NaiveTime, Utc};

/// Steady wind.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wind {
    /// Where it comes from, true.
    pub from: Bearing,
    /// How strong it is.
    pub speed: Speed,
}

/// What the receiver adds to the true position. All standard deviations; the horizontal ones hold
/// for the east and the north component each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReceiverNoise {
    /// Slowly wandering part of the position error, correlated over a minute.
    pub slow: Length,
    /// Part of the position error that is new at every fix.
    pub white: Length,
    /// Height error, correlated over a minute.
    pub height: Length,
}

/// How the pilot goes about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Manner {
    /// Time in which drift that was not allowed for is learnt on a leg, seconds; infinite for never.
    pub drift_learnt_s: f64,
    /// Time in which what is left of the way back onto a line is halved and more (to 37 %), seconds.
    pub rejoin_s: f64,
    /// How far past the end of a leg a turn back begins.
    pub past_end: Length,
    /// How far short of the line of the next leg a turn back rolls out.
    pub short: Length,
}

impl Default for Manner {
    /// A minute or so, brisk, late enough that the leg is flown to its end for sure, and short rather than beyond: rolling out short of the
    /// line is mended by a moment straight on, rolling out beyond it by an S-turn. Chosen.
    fn default() -> Self {
        Self {
            drift_learnt_s: 60.0,
            rejoin_s: 5.0,
            past_end: Length::from_m(200.0),
            short: Length::from_m(15.0),
        }
    }
}

/// Everything about a simulated flight except the plan and the seed.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// True airspeed, held throughout.
    pub airspeed: Speed,
    /// Steady wind.
    pub wind: Wind,
    /// Standard deviation of slow gusts, for the east and the north component each.
    pub gust: Speed,
    /// Height flown, in the terms in which the log is to write height.
    pub altitude: Length,
    /// Where the flight begins and ends; 6 NM before the first leg on its course if `None`.
    pub base: Option<Position>,
    /// Height of the base.
    pub base_height: Length,
    /// Steepest bank, degrees.
    pub bank_deg: f64,
    /// Standard deviation of the pilot's slowly wandering aim beside the leg.
    pub wander: Length,
    /// Standard deviation of the slowly wandering height held.
    pub height_wander: Length,
    /// Share of the wind the pilot knows and allows for; the drift that is left is found and taken
    /// out slowly on each leg.
    pub wind_share: f64,
    /// How the pilot goes about it.
    pub manner: Manner,
    /// First moment of the log.
    pub start: DateTime<Utc>,
    /// Fixes per second.
    pub rate_hz: f64,
    /// Errors of the receiver.
    pub noise: ReceiverNoise,
    /// Departures from the plan.
    pub faults: Vec<Fault>,
}

/// Height flown where the tasking names none. Chosen: a usual height of visual search.
const DEFAULT_ALTITUDE: Length = Length::from_ft(1500.0);
/// Height flown above the base where nothing else is known. Chosen.
const DEFAULT_ABOVE_BASE: Length = Length::from_ft(1000.0);
/// Fixes per second, least and most. Chosen: one in ten minutes to beyond what receivers write.
const RATE_HZ: std::ops::RangeInclusive<f64> = 1.0 / 600.0..=50.0;
/// Airspeed accepted, kt. Chosen: what flies a visual search with wings.
const AIRSPEED_KT: std::ops::RangeInclusive<f64> = 30.0..=300.0;
/// Bank accepted, degrees. Chosen: below, a turn takes minutes; above, nobody is on board willingly.
const BANK_DEG: std::ops::RangeInclusive<f64> = 5.0..=60.0;
/// Strongest wind accepted, as a share of the airspeed. Chosen: beyond it no leg is flown usefully.
const MAX_WIND_SHARE: f64 = 0.7;
/// Rejoining accepted, seconds. Chosen: from as brisk as turns allow to a leg long.
const REJOIN_S: std::ops::RangeInclusive<f64> = 2.0..=600.0;
/// Turns may begin so far past the end, metres. Chosen.
const PAST_END_M: std::ops::RangeInclusive<f64> = 50.0..=10_000.0;
/// Turns back may roll out so far short, metres. Chosen: up to half a mile.
const SHORT_M: std::ops::RangeInclusive<f64> = 0.0..=926.0;
/// Latitude up to which the simulator's north is of use, degrees.
const MAX_LATITUDE_DEG: f64 = 89.0;

impl Settings {
    /// A flight as tasked: the tasked ground speed as airspeed, no wind, a 25° bank, an aim
    /// wandering with 20 m, one fix a second from 08:00 UTC on the tasked day, no faults. Legs with
    /// heights of their own are flown to at the highest of them, from a base below the lowest, where
    /// the tasking names no altitude.
    #[must_use]
    pub fn for_tasking(tasking: &Tasking) -> Self {
        let flight = &tasking.flight;
        let heights: Vec<f64> = match &tasking.pattern {
            PatternTask::Contour(task) => task.bands.iter().map(|band| band.altitude.m()).collect(),
            PatternTask::Legs(task) => {
                let own = task.legs.iter().filter_map(|leg| leg.altitude);
                own.map(Length::m).collect()
            }
            _ => Vec::new(),
        };
        let extreme =
            |of: fn(f64, f64) -> f64| heights.iter().copied().reduce(of).map(Length::from_m);
        let altitude = flight
            .altitude
            .or(extreme(f64::max))
            .unwrap_or(DEFAULT_ALTITUDE);
        let settings = Self::new(
            flight.ground_speed,
            altitude,
            tasking.date.and_time(morning()).and_utc(),
        );
        let lowest = extreme(f64::min).unwrap_or(altitude);
        let below_all = below(lowest);
        Self {
            base: flight.base,
            base_height: if below_all < settings.base_height {
                below_all
            } else {
                settings.base_height
            },
            ..settings
        }
    }

    /// As [`for_tasking`](Self::for_tasking), from the figures themselves.
    #[must_use]
    pub fn new(airspeed: Speed, altitude: Length, start: DateTime<Utc>) -> Self {
        Self {
            airspeed,
            wind: Wind::default(),
            gust: Speed::default(),
            altitude,
            base: None,
            base_height: below(altitude),
            bank_deg: 25.0,
            wander: Length::from_m(20.0),
            height_wander: Length::from_m(8.0),
            wind_share: 1.0,
            manner: Manner::default(),
            start,
            rate_hz: 1.0,
            noise: ReceiverNoise {
                slow: Length::from_m(2.0),
                white: Length::from_m(0.5),
                height: Length::from_m(4.0),
            },
            faults: Vec::new(),
        }
    }

    /// Refuses what cannot be flown or recorded.
    pub(super) fn check(&self, centre: Position) -> Result<(), SimulateError> {
        within("airspeed", "kt", self.airspeed.kt(), &AIRSPEED_KT)?;
        within("bank", "degrees", self.bank_deg, &BANK_DEG)?;
        within("recording rate", "fixes per second", self.rate_hz, &RATE_HZ)?;
        // Three standard deviations of gust on top of the wind still have to leave way over ground.
        let calmest = MAX_WIND_SHARE * self.airspeed.kt();
        within("wind speed", "kt", self.wind.speed.kt(), &(0.0..=calmest))?;
        let gust = (calmest - self.wind.speed.kt()) / 3.0;
        within("gust", "kt", self.gust.kt(), &(0.0..=gust))?;
        within(
            "share of the wind known",
            "of 1",
            self.wind_share,
            &(0.0..=1.0),
        )?;
        let manner = self.manner;
        within(
            "time to learn the drift",
            "seconds",
            manner.drift_learnt_s,
            &(10.0..=f64::INFINITY),
        )?;
        within("time to rejoin", "seconds", manner.rejoin_s, &REJOIN_S)?;
        within(
            "beginning of turns past the end",
            "m",
            manner.past_end.m(),
            &PAST_END_M,
        )?;
        within("rolling out short", "m", manner.short.m(), &SHORT_M)?;
        within("wandering of the aim", "m", self.wander.m(), &(0.0..=500.0))?;
        within(
            "wandering of the height",
            "m",
            self.height_wander.m(),
            &(0.0..=100.0),
        )?;
        within("altitude", "m", self.altitude.m(), &(-500.0..=15_000.0))?;
        within(
            "height of the base",
            "m",
            self.base_height.m(),
            &(-500.0..=self.altitude.m()),
        )?;
        for part in [self.noise.slow, self.noise.white, self.noise.height] {
            within("receiver error", "m", part.m(), &(0.0..=1000.0))?;
        }
        within(
            "latitude of the area",
            "degrees",
            centre.lat(),
            &(-MAX_LATITUDE_DEG..=MAX_LATITUDE_DEG),
        )
    }
}

/// Height of a base from which one climbs to `altitude`.
fn below(altitude: Length) -> Length {
    Length::from_m((altitude.m() - DEFAULT_ABOVE_BASE.m()).max(0.0))
}

/// Refuses a value outside a range.
pub(super) fn within(
    what: &str,
    unit: &'static str,
    value: f64,
    range: &std::ops::RangeInclusive<f64>,
) -> Result<(), SimulateError> {
    // NaN is in no range.
    if range.contains(&value) {
        Ok(())
    } else {
        Err(SimulateError::OutOfRange {
            what: what.to_owned(),
            unit,
            value,
            least: *range.start(),
            most: *range.end(),
        })
    }
}

fn morning() -> NaiveTime {
    NaiveTime::MIN + chrono::TimeDelta::hours(8)
}
