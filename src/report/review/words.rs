//! Figures of a review as people read them.

use crate::report::format::{clock, counted, figure};
use crate::training::cause::{Cause, Place, Shown};
use crate::training::flight::Wind;
use crate::training::measures::{Measure, Unit};
use crate::training::review::{Change, Measured, Review};
use crate::training::trend::Trend;
use crate::units::{Length, Speed};

/// Where there is nothing to practise.
pub const NOTHING: &str = "Nothing stands out: what could be judged is within what is good enough, or within what chance does.";

/// A value of a measure, without its unit.
#[must_use]
pub fn value(measure: Measure, value: f64) -> String {
    match measure.unit() {
        Unit::Metres => figure(value, 0),
        Unit::Height => figure(Length::from_m(value).ft(), 0),
        Unit::Speed => figure(Speed::from_mps(value).kt(), 1),
        Unit::Share => figure(100.0 * value, 0),
    }
}

/// The unit that [`value`] is in.
#[must_use]
pub const fn unit(measure: Measure) -> &'static str {
    match measure.unit() {
        Unit::Metres => "m",
        Unit::Height => "ft",
        Unit::Speed => "kt",
        Unit::Share => "%",
    }
}

/// What is good enough, in terms of the value shown; `most` of the shortfall.
#[must_use]
pub fn good(measure: Measure, most: Option<f64>) -> String {
    let Some(most) = most else {
        return "–".to_owned();
    };
    match measure {
        Measure::Within => format!("{} +", value(Measure::Within, 1.0 - most)),
        measure if measure.is_signed() => format!("± {}", value(measure, most)),
        measure => format!("to {}", value(measure, most)),
    }
}

/// What the trend says.
#[must_use]
pub const fn change(change: Change) -> &'static str {
    match change {
        Change::TooFew => "too few flights to tell",
        Change::NotClear => "no clear change",
        Change::Better => "better",
        Change::Worse => "worse",
    }
}

/// Change of the shortfall from flight to flight, with its interval.
#[must_use]
pub fn slope(measure: Measure, trend: &Trend) -> String {
    let shown = |x: f64| {
        let text = value(measure, x);
        if x > 0.0 && text != "0" && text != "0.0" {
            format!("+{text}")
        } else {
            text
        }
    };
    match (trend.slope, trend.interval) {
        (Some(slope), Some((low, high))) => {
            format!("{} ({} to {})", shown(slope), shown(low), shown(high))
        }
        _ => "–".to_owned(),
    }
}

/// Days of the flights.
#[must_use]
pub fn days(review: &Review) -> String {
    let day = |flight: Option<&crate::training::review::Reviewed>| {
        flight.map_or_else(String::new, |f| f.started.date_naive().to_string())
    };
    let (first, last) = (day(review.flights.first()), day(review.flights.last()));
    let flights = counted(review.flights.len(), "flight");
    if first == last {
        format!("{flights}, {first}")
    } else {
        format!("{flights}, {first} to {last}")
    }
}

/// What was seen, whether it gets less, and whether it stands for itself.
#[must_use]
pub fn seen(cause: &Cause) -> String {
    let mut words = cause.seen.clone();
    if cause.lessens {
        words.push_str(" It gets less from flight to flight: keep at it.");
    }
    if cause.may_follow_drift {
        words.push_str(" It may follow from the drift: mend that first.");
    }
    words
}

/// What shows it best.
#[must_use]
pub fn place(place: &Place) -> String {
    let leg = format!("leg {} of {}", place.leg, place.sortie);
    let time = clock(place.time);
    match place.shown {
        Shown::Leg => format!("{leg}, entered at {time} UTC"),
        Shown::Turn => format!("the turn onto {leg}, begun at {time} UTC"),
        Shown::Place { along_m, xte_m, .. } => {
            let side = if xte_m < 0.0 { "left" } else { "right" };
            format!(
                "{leg}, {:.1} NM along it at {time} UTC: {:.0} m {side} of the line",
                Length::from_m(along_m).nm(),
                xte_m.abs()
            )
        }
    }
}

/// The wind found in a flight.
#[must_use]
pub fn wind(wind: Wind) -> String {
    format!(
        "{:03.0}° T {:.0} kt",
        wind.from_true_deg,
        Speed::from_mps(wind.speed_mps).kt()
    )
}

/// A shortfall as a value: a share within tolerance is kept as what is missing of it.
#[must_use]
pub fn shortfall(measure: Measure, shortfall: f64) -> String {
    value(measure, measure.value_of(shortfall))
}

/// The middle half of other pilots, as values.
#[must_use]
pub fn others(measured: &Measured) -> String {
    measured.others.map_or_else(
        || "–".to_owned(),
        |spread| {
            let shown = |x: f64| shortfall(measured.measure, x);
            format!("{} to {}", shown(spread.lower), shown(spread.upper))
        },
    )
}
