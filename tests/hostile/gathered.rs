//! Clocks that are far off, and tracks within the holes of others.

use crate::memory::bounded;
use crate::turn;
use chrono::TimeDelta;
use overflown::track::Reading;
use overflown::track::gather::{Wanted, gather};
use overflown::track::read::{ReadSettings, read_bytes};
use std::fmt::Write as _;
use std::path::Path;

/// A log of one track, whose segments have a fix for each of these seconds.
fn log(name: &str, segments: &[&[u32]]) -> Reading {
    let mut text = "<gpx><trk>".to_owned();
    for (number, segment) in (1..).zip(segments) {
        text += "<trkseg>";
        for second in *segment {
            let (minutes, seconds) = (second / 60, second % 60);
            let lon = 12.0 + f64::from(*second) * 1e-4;
            write!(
                text,
                "<trkpt lat=\"47.{number}\" lon=\"{lon}\"><time>2026-05-01T15:{minutes:02}:{seconds:02}Z</time></trkpt>"
            )
            .unwrap();
        }
        text += "</trkseg>";
    }
    text += "</trk></gpx>";
    let settings = ReadSettings::default();
    read_bytes(Path::new(name), text.as_bytes(), settings, None).unwrap()
}

#[test]
fn a_correction_out_of_the_calendar_is_refused() {
    let _turn = turn();
    for correction in [TimeDelta::MAX, TimeDelta::MIN, TimeDelta::days(3_000_000)] {
        let wanted = Wanted {
            clock_correction: correction,
            ..Wanted::default()
        };
        let error = gather(vec![log("a", &[&[0, 1]])], &wanted).unwrap_err();
        assert!(
            error.problem.contains("leaves the years 0 to 9999"),
            "{error}"
        );
        assert_eq!(error.line, Some(1));
    }
}

/// Two fixes millions of days apart: a time of day is not looked for on every one of them.
#[test]
fn a_time_of_day_in_a_log_of_all_times() {
    let _turn = turn();
    let log =
        "|0|12:00||\ntime,lat,lon\n0001-01-01T00:00:00Z,47,12\n9998-01-01T00:00:00Z,47,12.001\n";
    bounded("gather", log.as_bytes());
}

/// The hole of a segment holds a segment of its own track, and after that another track: it is cut there.
#[test]
fn a_hole_is_cut_for_another_track_behind_ones_own() {
    let _turn = turn();
    let first: Vec<u32> = (0..10).chain(1000..1010).collect();
    let own: Vec<u32> = (300..310).collect();
    let other: Vec<u32> = (500..510).collect();
    let starts = |readings| {
        let reading = gather(readings, &Wanted::default()).unwrap();
        let first = reading.segments.iter().map(|segment| segment[0].time);
        first.map(|at| at.timestamp() % 3600).collect::<Vec<_>>()
    };
    let two = || vec![log("a", &[&first, &own]), log("b", &[&other])];
    assert_eq!(starts(two()), [0, 300, 500, 1000]);
    // Where no other track begins in it, it stays.
    let late: Vec<u32> = (2000..2010).collect();
    let apart = vec![log("a", &[&first, &own]), log("b", &[&late])];
    assert_eq!(starts(apart).len(), 3);
}
