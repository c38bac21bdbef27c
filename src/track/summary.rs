//! What is in a log: the figures behind `overflown inspect`.

use super::motion::Motion;
use super::{Finding, Fix, Gap, HeightKind, Ledger, LogTrack, Taken, Track, seconds_between};
use crate::geodesy::{LocalFrame, Position, ecef};
use crate::input::InputFile;
use crate::terrain::VerticalReference;
use crate::units::{Length, Speed, wrap_180};
use chrono::{DateTime, Utc};
use serde::Serialize;
use std::ops::Range;

/// Name and version of the JSON form.
pub const SCHEMA: &str = "overflown-log/2";

/// Smallest, middle and largest of a set of values.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spread<T> {
    /// The smallest.
    pub min: T,
    /// The middle one; of an even number of values the upper of the two in the middle.
    pub median: T,
    /// The largest.
    pub max: T,
}

impl<T: Copy + PartialOrd> Spread<T> {
    /// The spread of `values`; `None` of none. Values must be comparable, so not NaN.
    fn of(mut values: Vec<T>) -> Option<Self> {
        values.sort_unstable_by(|a, b| a.partial_cmp(b).unwrap_or(std::cmp::Ordering::Equal));
        let (min, max) = (*values.first()?, *values.last()?);
        Some(Self {
            min,
            median: values[values.len() / 2],
            max,
        })
    }
}

/// The smallest box of parallels and meridians around a track; it may cross the antimeridian.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Bounds {
    /// South-west corner.
    pub south_west: Position,
    /// North-east corner.
    pub north_east: Position,
}

/// How often something was found while reading and cleaning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct FindingCount {
    /// What was found.
    pub finding: Finding,
    /// The same in words, with what was done.
    pub description: &'static str,
    /// How many entries of it the ledger has.
    pub count: usize,
}

/// Height above the ground in flight.
#[derive(Clone, Debug, Serialize)]
pub struct AboveGroundStatistics {
    /// Height above the ground; `None` where it is known at no fix.
    #[serde(rename = "height_m")]
    pub height: Option<Spread<Length>>,
    /// Fixes in flight at which it is not known, for want of a height or of the ground.
    pub fixes_without: usize,
    /// Fixes of the log without a tile below them.
    pub fixes_without_tile: usize,
    /// Fixes of the log above a void of a tile.
    pub fixes_in_void: usize,
    /// What the ground heights are measured from.
    pub ground_references: Vec<VerticalReference>,
    /// The tiles.
    pub tiles: Vec<InputFile>,
}

/// What a track log holds.
#[derive(Clone, Debug, Serialize)]
pub struct LogStatistics {
    /// [`SCHEMA`].
    pub schema: &'static str,
    /// The files.
    pub files: Vec<InputFile>,
    /// Name of the track in the file; where several tracks were taken, their names.
    pub track_name: Option<String>,
    /// The tracks that the files hold, taken or not.
    pub tracks: Vec<LogTrack>,
    /// What was done with the times, and what was left out for it.
    pub taken: Taken,
    /// Time of the first fix kept.
    pub first: DateTime<Utc>,
    /// Time of the last fix kept.
    pub last: DateTime<Utc>,
    /// From the first fix to the last, seconds.
    pub duration_s: f64,
    /// The same without the gaps, seconds.
    pub recorded_s: f64,
    /// Number of stretches recorded without a gap.
    pub stretches: usize,
    /// Points in the files.
    pub points_read: usize,
    /// Fixes kept.
    pub fixes_kept: usize,
    /// Points dropped.
    pub points_dropped: usize,
    /// Points left out because they were not asked for: of tracks not taken, outside the window of time,
    /// or in another track or file as well.
    pub points_left_out: usize,
    /// Time between neighbouring fixes within the stretches, seconds; `None` if every stretch is a
    /// single fix.
    pub interval_s: Option<Spread<f64>>,
    /// The longest step that still counts as recorded, seconds.
    pub gap_limit_s: f64,
    /// Times without fixes.
    pub gaps: Vec<Gap>,
    /// First fix at flying speed after the take-off; `None` if nothing was flown.
    pub flying_from: Option<DateTime<Utc>>,
    /// Last fix at flying speed before the landing.
    pub flying_to: Option<DateTime<Utc>>,
    /// Recorded standing or taxiing before and after that, seconds.
    pub ground_s: f64,
    /// Length of the track recorded in flight over the ground; nothing is added for gaps.
    #[serde(rename = "distance_m")]
    pub distance: Length,
    /// Ground speed over about four seconds at each fix in flight.
    #[serde(rename = "ground_speed_mps")]
    pub ground_speed: Option<Spread<Speed>>,
    /// Height as recorded; `None` if no fix has one.
    #[serde(rename = "height_m")]
    pub height: Option<Spread<Length>>,
    /// What the heights are measured from.
    pub height_kind: HeightKind,
    /// Height above the ground in flight; `None` if no terrain was given.
    pub above_ground: Option<AboveGroundStatistics>,
    /// Fixes kept that have no height.
    pub fixes_without_height: usize,
    /// The ground the track lies in.
    pub bounds: Bounds,
    /// What was found while reading and cleaning, and how often.
    pub findings: Vec<FindingCount>,
    /// Every entry of the ledger.
    pub ledger: Ledger,
}

impl LogStatistics {
    /// The statistics of a cleaned track.
    #[must_use]
    pub fn of(track: &Track) -> Self {
        let fixes = &track.fixes;
        let (first, last) = (fixes[0], fixes[fixes.len() - 1]);
        let heights: Vec<Length> = fixes.iter().filter_map(|fix| fix.height.get()).collect();
        let span_s = |s: &Range<usize>| seconds_between(fixes[s.start].time, fixes[s.end - 1].time);
        let counts = track.ledger.counts();
        let motion = Motion::of(track, &LocalFrame::new(first.position));
        let airborne = &motion.airborne;
        Self {
            schema: SCHEMA,
            files: track.sources.clone(),
            track_name: track.name.clone(),
            tracks: track.tracks.clone(),
            taken: track.taken,
            first: first.time,
            last: last.time,
            duration_s: seconds_between(first.time, last.time),
            recorded_s: track.stretches.iter().map(span_s).sum(),
            stretches: track.stretches.len(),
            points_read: track.points_read(),
            fixes_kept: fixes.len(),
            points_dropped: track.ledger.dropped(),
            points_left_out: track.points_left_out(),
            interval_s: Spread::of(
                steps(track)
                    .map(|[a, b]| seconds_between(a.time, b.time))
                    .collect(),
            ),
            gap_limit_s: track.gap_limit_s,
            gaps: track.gaps(),
            flying_from: fixes.get(airborne.start).map(|fix| fix.time),
            flying_to: fixes[..airborne.end]
                .last()
                .filter(|_| !airborne.is_empty())
                .map(|fix| fix.time),
            ground_s: ground_s(track, airborne),
            distance: distance(track, airborne),
            ground_speed: ground_speed(track, &motion),
            fixes_without_height: fixes.len() - heights.len(),
            height: Spread::of(heights),
            above_ground: above_ground(track, airborne),
            height_kind: track.height_kind,
            bounds: bounds(fixes),
            findings: counts
                .into_iter()
                .map(|(finding, count)| FindingCount {
                    finding,
                    description: finding.describe(),
                    count,
                })
                .collect(),
            ledger: track.ledger.clone(),
        }
    }
}

fn above_ground(track: &Track, airborne: &Range<usize>) -> Option<AboveGroundStatistics> {
    let ground = track.ground.as_ref()?;
    let known = airborne
        .clone()
        .filter_map(|fix| track.height_above_ground(fix));
    let known: Vec<Length> = known.collect();
    Some(AboveGroundStatistics {
        fixes_without: airborne.len() - known.len(),
        height: Spread::of(known),
        fixes_without_tile: ground.without_tile,
        fixes_in_void: ground.in_void,
        ground_references: ground.references.clone(),
        tiles: ground.tiles.clone(),
    })
}

/// Neighbouring fixes within the stretches.
fn steps(track: &Track) -> impl Iterator<Item = [Fix; 2]> {
    track
        .stretches
        .iter()
        .flat_map(|stretch| track.fixes[stretch.clone()].windows(2))
        .map(|pair| [pair[0], pair[1]])
}

/// Sum of the chords between fixes; each is shorter than the geodesic by d³/(24 R²), a millimetre in
/// a step of 10 km.
fn distance(track: &Track, airborne: &Range<usize>) -> Length {
    let chord_m = |[a, b]: [Fix; 2]| {
        let (a, b) = (
            ecef::from_position(a.position),
            ecef::from_position(b.position),
        );
        ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2) + (a[2] - b[2]).powi(2)).sqrt()
    };
    let in_flight = parts(track, airborne).flat_map(|part| track.fixes[part].windows(2));
    let chords_m = in_flight.map(|pair| chord_m([pair[0], pair[1]]));
    Length::from_m(chords_m.sum())
}

/// What of each stretch lies within `fixes`.
fn parts<'a>(
    track: &'a Track,
    fixes: &'a Range<usize>,
) -> impl Iterator<Item = Range<usize>> + use<'a> {
    track
        .stretches
        .iter()
        .map(|stretch| stretch.start.max(fixes.start)..stretch.end.min(fixes.end))
        .filter(|part| !part.is_empty())
}

/// Recorded time before and after the flight, seconds.
fn ground_s(track: &Track, airborne: &Range<usize>) -> f64 {
    let last = track.fixes.len();
    // The steps onto the first fix flown and off the last one are made on the ground.
    let before = 0..(airborne.start + 1).min(last);
    let after = airborne.end.saturating_sub(1)..last;
    let grounds = if airborne.is_empty() {
        [0..last, last..last]
    } else {
        [before, after]
    };
    grounds
        .iter()
        .flat_map(|ground| parts(track, ground))
        .map(|part| seconds_between(track.fixes[part.start].time, track.fixes[part.end - 1].time))
        .sum()
}

/// Speeds at all fixes in flight that have a neighbour in their stretch.
fn ground_speed(track: &Track, motion: &Motion) -> Option<Spread<Speed>> {
    let alone: Vec<usize> = track
        .stretches
        .iter()
        .filter(|stretch| stretch.len() == 1)
        .map(|stretch| stretch.start)
        .collect();
    let moving = motion
        .airborne
        .clone()
        .filter(|fix| alone.binary_search(fix).is_err());
    Spread::of(
        moving
            .map(|fix| Speed::from_mps(motion.speed_mps(fix)))
            .collect(),
    )
}

/// Longitudes are taken relative to the first fix, so that the antimeridian does not matter.
fn bounds(fixes: &[Fix]) -> Bounds {
    let start = fixes[0].position;
    let (mut south, mut north, mut west, mut east) = (start.lat(), start.lat(), 0.0_f64, 0.0_f64);
    for Fix { position, .. } in fixes {
        south = south.min(position.lat());
        north = north.max(position.lat());
        let lon = wrap_180(position.lon() - start.lon());
        west = west.min(lon);
        east = east.max(lon);
    }
    Bounds {
        south_west: Position::from_computed(south, start.lon() + west),
        north_east: Position::from_computed(north, start.lon() + east),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::geodesic;
    use crate::units::Bearing;
    use chrono::TimeDelta;

    /// 100 kt to the east from a place just west of the antimeridian, a hole of a minute, then 80 kt.
    fn track() -> Track {
        let start = DateTime::from_timestamp(1_777_647_600, 0).unwrap();
        let mut at = Position::new(-17.0, 179.99).unwrap();
        let mut fixes = Vec::new();
        for second in (0..=100).chain(160..=260) {
            let step = match second {
                0 => Length::from_m(0.0),
                160 => Length::from_nm(2.0),
                1..160 => Length::from_nm(100.0 / 3600.0),
                _ => Length::from_nm(80.0 / 3600.0),
            };
            at = geodesic::destination(at, Bearing::from_deg(90.0), step);
            fixes.push(Fix {
                time: start + TimeDelta::seconds(second),
                position: at,
                height: (second >= 50)
                    .then(|| Length::from_ft(1000.0 + second as f64))
                    .into(),
                line: 1,
                file: 0,
            });
        }
        let source = InputFile {
            role: "track".into(),
            name: "x.gpx".into(),
            bytes: 0,
            sha256: "".into(),
        };
        let mut ledger = Ledger::default();
        ledger.add(7, Finding::BadTime, "noon");
        ledger.add(9, Finding::BadTime, "one");
        ledger.add(9, Finding::NoZone, "2026-05-01T15:04:05");
        let stretches = vec![0..101, 101..202];
        let airborne = 0..fixes.len();
        let (median_interval_s, gap_limit_s) = (1.0, 10.0);
        Track {
            sources: vec![source],
            name: None,
            tracks: Vec::new(),
            taken: Taken::default(),
            fixes,
            stretches,
            airborne,
            ground: None,
            median_interval_s,
            gap_limit_s,
            height_kind: HeightKind::MeanSeaLevel,
            ledger,
        }
    }

    /// By hand: 100 s at 100 kt and 100 s at 80 kt are 5 NM; the 2 NM in the gap do not count.
    #[test]
    fn figures_are_those_that_were_flown() {
        let log = LogStatistics::of(&track());
        assert_eq!(
            (log.duration_s, log.recorded_s, log.stretches),
            (260.0, 200.0, 2)
        );
        assert!(
            (log.distance.nm() - 5.0).abs() < 1e-6,
            "{}",
            log.distance.nm()
        );
        let speed = log.ground_speed.unwrap();
        assert!((speed.min.kt() - 80.0).abs() < 1e-3 && (speed.max.kt() - 100.0).abs() < 1e-3);
        let height = log.height.unwrap();
        assert_eq!(
            (height.min.ft().round(), height.max.ft().round()),
            (1050.0, 1260.0)
        );
        assert_eq!(log.fixes_without_height, 50);
        assert_eq!(
            log.interval_s,
            Some(Spread {
                min: 1.0,
                median: 1.0,
                max: 1.0
            })
        );
        assert_eq!((log.gaps.len(), log.gaps[0].duration_s), (1, 60.0));
        assert_eq!(
            (log.points_read, log.fixes_kept, log.points_dropped),
            (204, 202, 2)
        );
        assert_eq!(log.findings[0].count, 2);
    }

    #[test]
    fn bounds_cross_the_antimeridian() {
        let bounds = LogStatistics::of(&track()).bounds;
        assert_eq!(bounds.south_west.lon(), 179.99);
        // 7 NM east on the parallel of 17° S is 7' / cos 17° = 0.122°.
        let width = wrap_180(bounds.north_east.lon() - bounds.south_west.lon());
        assert!(
            (width - 7.0 / 60.0 / 17.0_f64.to_radians().cos()).abs() < 1e-3,
            "{width}"
        );
    }

    #[test]
    fn a_log_of_single_fixes_has_no_speed_and_no_interval() {
        let mut track = track();
        track.fixes = vec![track.fixes[0], track.fixes[150]];
        track.stretches = vec![0..1, 1..2];
        track.airborne = 0..2;
        let log = LogStatistics::of(&track);
        assert!(log.ground_speed.is_none() && log.interval_s.is_none());
        assert_eq!((log.distance.m(), log.recorded_s), (0.0, 0.0));
    }
}
