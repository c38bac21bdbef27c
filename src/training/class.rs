//! Several pilots beside each other, for the leader of a course.

use super::cause::{Cause, Kind};
use super::measures::Measure;
use super::rank::median;
use super::review::{Change, LATEST, Measured, Review};
use super::tolerance::Tolerances;
use super::trend::Trend;
use chrono::{DateTime, Utc};
use serde::Serialize;

/// Pilots beside each other.
#[derive(Clone, Debug, Serialize)]
pub struct Class {
    /// The pilots, as they were given.
    pub pilots: Vec<Member>,
    /// What several of them have to practise, what most have first.
    pub common: Vec<Common>,
    /// Every measure, pilot by pilot.
    pub measures: Vec<Compared>,
    /// What all were judged by.
    pub tolerances: Tolerances,
    /// What could not be told.
    pub remarks: Vec<String>,
}

/// A pilot of a class.
#[derive(Clone, Debug, Serialize)]
pub struct Member {
    /// Who.
    pub pilot: String,
    /// How many flights.
    pub flights: usize,
    /// First moment of the first log.
    pub first: DateTime<Utc>,
    /// First moment of the last log.
    pub latest: DateTime<Utc>,
    /// What is proposed to practise, the weightiest first; places by [`Review::flights`].
    pub practise: Vec<Cause>,
    /// Measures that changed for the better.
    pub better: Vec<Measure>,
    /// And for the worse.
    pub worse: Vec<Measure>,
}

/// What several pilots have to practise.
#[derive(Clone, Debug, Serialize)]
pub struct Common {
    /// What is behind it.
    pub kind: Kind,
    /// Whose, as indices of [`Class::pilots`].
    pub pilots: Vec<usize>,
}

/// A measure over the pilots.
#[derive(Clone, Debug, Serialize)]
pub struct Compared {
    /// Which.
    pub measure: Measure,
    /// How each pilot stands, as [`Class::pilots`] has them.
    pub pilots: Vec<Standing>,
}

/// How a pilot stands in a measure.
#[derive(Clone, Debug, Serialize)]
pub struct Standing {
    /// The value on each flight.
    pub flights: Vec<Option<f64>>,
    /// The middle value of the [`LATEST`] flights.
    pub latest: Option<f64>,
    /// The most that is good enough, on the last flight: of the [shortfall](Measure::shortfall).
    pub most: Option<f64>,
    /// Whether the latest value is beyond that; `None` where either is not known.
    pub beyond: Option<bool>,
    /// How the shortfall moved from flight to flight.
    pub trend: Trend,
    /// What that says.
    pub change: Change,
}

impl Class {
    /// Of the reviews of its pilots, all judged by `tolerances`.
    #[must_use]
    pub fn of(reviews: &[Review], tolerances: &Tolerances) -> Self {
        let pilots: Vec<Member> = reviews.iter().filter_map(member).collect();
        let standing = |measure: Measure| {
            let of = |review: &Review| {
                let measured = review.measures.iter().find(|m| m.measure == measure)?;
                Some(standing(measured))
            };
            reviews.iter().filter_map(of).collect()
        };
        Self {
            common: common(&pilots),
            measures: Measure::ALL
                .into_iter()
                .map(|measure| Compared {
                    measure,
                    pilots: standing(measure),
                })
                .collect(),
            remarks: remarks(&pilots, reviews),
            pilots,
            tolerances: tolerances.clone(),
        }
    }
}

/// `None` of a review without flights, of which there is none.
fn member(review: &Review) -> Option<Member> {
    let changed = |change: Change| {
        let with = review.measures.iter().filter(move |m| m.change == change);
        with.map(|measured| measured.measure).collect()
    };
    let practise = review.practise.iter();
    Some(Member {
        pilot: review.pilot.clone(),
        flights: review.flights.len(),
        first: review.flights.first()?.started,
        latest: review.flights.last()?.started,
        practise: practise
            .filter_map(|index| review.causes.get(*index).cloned())
            .collect(),
        better: changed(Change::Better),
        worse: changed(Change::Worse),
    })
}

fn standing(measured: &Measured) -> Standing {
    let flights: Vec<Option<f64>> = measured.values.iter().map(|values| values.flight).collect();
    let latest = median(flights.iter().rev().take(LATEST).copied().flatten());
    let most = measured.most();
    let beyond = latest
        .zip(most)
        .map(|(value, most)| measured.measure.shortfall(value) > most);
    Standing {
        flights,
        latest,
        most,
        beyond,
        trend: measured.trend.clone(),
        change: measured.change,
    }
}

/// What more than one pilot has to practise.
fn common(pilots: &[Member]) -> Vec<Common> {
    let mut common: Vec<Common> = Vec::new();
    for (index, member) in pilots.iter().enumerate() {
        for cause in &member.practise {
            match common.iter_mut().find(|other| other.kind == cause.kind) {
                // One pilot has each kind once at most.
                Some(other) => other.pilots.push(index),
                None => common.push(Common {
                    kind: cause.kind,
                    pilots: vec![index],
                }),
            }
        }
    }
    common.retain(|common| common.pilots.len() > 1);
    common.sort_by_key(|common| (std::cmp::Reverse(common.pilots.len()), common.kind));
    common
}

fn remarks(pilots: &[Member], reviews: &[Review]) -> Vec<String> {
    let mut remarks = Vec::new();
    let few = pilots
        .iter()
        .filter(|member| member.flights < super::trend::FEWEST)
        .count();
    if few > 0 {
        remarks.push(format!(
            "Of {few} of {} pilots there are too few flights to tell a trend: {} are needed.",
            pilots.len(),
            super::trend::FEWEST
        ));
    }
    let mut patterns: Vec<&str> = reviews
        .iter()
        .flat_map(|review| review.flights.iter().map(|flight| flight.pattern.key()))
        .collect();
    patterns.sort_unstable();
    patterns.dedup();
    if patterns.len() > 1 {
        remarks.push(format!(
            "The flights are of several patterns, which are not equally hard to fly: {}.",
            patterns.join(", ")
        ));
    }
    remarks.push(
        "Pilots flew on other days, in other winds and over other patterns: the figures say what each has to practise, not who is the better pilot."
            .to_owned(),
    );
    remarks
}
