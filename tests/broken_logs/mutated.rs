//! Junk, mutants and arbitrary bytes.

use crate::{SALVAGING, STRICTLY, entries, file, gpx, point, points, reading};
use chrono::{DateTime, TimeDelta};
use overflown::track::Finding;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::read;
use proptest::prelude::*;

/// Much of everything: an algorithm that is not linear would not come to an end here.
#[test]
fn masses_of_junk_are_survived() {
    let attributes: String = (0..200_000).map(|i| format!("a{i}='1' ")).collect();
    let junk = point(&format!("lat='47' lon='12' {attributes}"), 5);
    let log = reading(gpx(&(points(0..5) + &junk + &points(6..9)))).unwrap();
    assert_eq!(log.segments[0].len(), 9);

    let (open, close) = ("<a>".repeat(100_000), "</a>".repeat(100_000));
    let deep = format!("<extensions>{open}{close}</extensions><ele>");
    let log = reading(gpx(&points(0..5)).replace("<ele>", &deep)).unwrap();
    assert_eq!(log.segments[0].len(), 5);

    let digits = "0".repeat(1_000_000);
    let long = format!("<trkpt lat='47' lon='12'><time>{digits}</time></trkpt>");
    let log = reading(gpx(&(points(0..5) + &long))).unwrap();
    let [(8, Finding::BadTime, raw)] = entries(&log)[..] else {
        panic!()
    };
    let time = raw.strip_prefix("lat=\"47\" lon=\"12\" time=\"").unwrap();
    assert_eq!(time.chars().count(), 81 + 1);
}

/// One change to a file: a place, a kind of change, bytes for it.
type Edit = (prop::sample::Index, u8, [u8; 3]);

/// Cuts out, repeats, overwrites or inserts.
fn edit(content: &mut Vec<u8>, (place, kind, bytes): Edit) {
    if content.is_empty() {
        return;
    }
    let at = place.index(content.len());
    let end = (at + usize::from(bytes[0])).min(content.len());
    match kind % 4 {
        0 => drop(content.drain(at..end)),
        1 => {
            let piece = content[at..end].to_vec();
            drop(content.splice(at..at, piece));
        }
        2 => content[at] = bytes[1],
        _ => drop(content.splice(at..at, bytes)),
    }
}

proptest! {
    #[test]
    fn arbitrary_bytes_never_panic(
        bytes in prop::collection::vec(any::<u8>(), 0..600),
        inside: bool,
    ) {
        let start: &[u8] = if inside { b"<gpx><trk><trkseg>" } else { b"" };
        let log = file([start, &bytes].concat());
        for settings in [STRICTLY, SALVAGING] {
            if let Ok(reading) = read(&log.path, settings) {
                let _ = clean(reading, &CleanSettings::default());
            }
        }
    }

    /// Whatever is made of a damaged log is sound.
    #[test]
    fn mutated_logs_never_panic_and_what_is_kept_is_sound(
        edits in prop::collection::vec(any::<Edit>(), 1..6),
    ) {
        let mut content = gpx(&points(0..20)).into_bytes();
        for change in edits {
            edit(&mut content, change);
        }
        let lines = 1..=content.iter().filter(|&&byte| byte == b'\n').count() as u32 + 1;
        for settings in [STRICTLY, SALVAGING] {
            let Ok(reading) = read(&file(&content).path, settings) else { continue };
            prop_assert!(reading.ledger.entries.iter().all(|entry| lines.contains(&entry.line)));
            let Ok(track) = clean(reading, &CleanSettings::default()) else { continue };
            prop_assert!(track.fixes.is_sorted_by(|a, b| a.time < b.time));
            prop_assert!(track.fixes.iter().all(|fix| lines.contains(&fix.line)));
            prop_assert!(track.stretches.iter().all(|stretch| !stretch.is_empty()));
            prop_assert!(track.stretches.windows(2).all(|pair| pair[0].end == pair[1].start));
            prop_assert_eq!(track.stretches[0].start, 0);
            prop_assert_eq!(track.stretches.last().map(|s| s.end), Some(track.fixes.len()));
        }
    }

    /// Written with Rust's shortest exact decimals and read back: positions and heights to the last
    /// bit, times to the millisecond, each with its line.
    #[test]
    fn a_written_log_reads_back_exactly(
        points in prop::collection::vec((-90.0..=90.0, -180.0..180.0, -500.0..9000.0), 1..40),
        start_ms in 0_i64..4_000_000_000_000,
        step_ms in 1_i64..100_000,
    ) {
        let time = |i: usize| {
            let start = DateTime::from_timestamp_millis(start_ms).unwrap();
            start + TimeDelta::milliseconds(step_ms * i as i64)
        };
        let text: String = (0..)
            .zip(&points)
            .map(|(i, (lat, lon, ele)): (usize, &(f64, f64, f64))| {
                let time = time(i).format("%Y-%m-%dT%H:%M:%S%.3fZ");
                format!("<trkpt lat=\"{lat}\" lon=\"{lon}\">\n<ele>{ele}</ele><time>{time}</time></trkpt>\n")
            })
            .collect();
        let reading = reading(gpx(&text)).unwrap();
        prop_assert!(reading.ledger.entries.is_empty());
        prop_assert_eq!(reading.segments[0].len(), points.len());
        for (i, (fix, (lat, lon, ele))) in reading.segments[0].iter().zip(&points).enumerate() {
            prop_assert_eq!(fix.position.lat().to_bits(), lat.to_bits());
            prop_assert_eq!(fix.position.lon().to_bits(), lon.to_bits());
            prop_assert_eq!(fix.height.get().map(|height| height.m()), Some(*ele));
            prop_assert_eq!(fix.time, time(i));
            prop_assert_eq!(fix.line as usize, 3 + 2 * i);
        }
    }
}
