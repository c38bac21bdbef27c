//! The same flight in several formats gives the same debrief, and damaged logs of every line format end
//! with a track, entries in the ledger or an error that names the place, never with a panic.
//!
//! IGC records after the *Technical Specification for IGC-approved GNSS Flight Recorders*, appendix A:
//! thousandths of a minute (1.9 m), whole metres. NMEA 0183 sentences after "NMEA Revealed".

use crate::support::{TASKING, many_faults, tasking};
use overflown::debrief::{Debrief, debrief};
use overflown::input::InputError;
use overflown::plan::Plan;
use overflown::simulate::{Settings, gpx_out, simulate};
use overflown::tasking::Tasking;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::{ReadSettings, read};
use overflown::track::{Fix, HeightKind, Reading};
use std::collections::HashSet;
use std::fmt::Write as _;
use std::io::{Cursor, Write as _};
use std::path::Path;

/// Whole degrees, minutes, and whether the angle is negative, rounded to `decimals` of the minute.
fn degrees_minutes(angle: f64, decimals: i32) -> (u32, f64, bool) {
    let unit = 10_f64.powi(decimals);
    let minutes = (angle.abs() * 60.0 * unit).round() / unit;
    let degrees = (minutes / 60.0).floor();
    (degrees as u32, minutes - 60.0 * degrees, angle < 0.0)
}

const fn hemisphere(negative: bool, names: [char; 2]) -> char {
    names[negative as usize]
}

/// The fixes as IGC records: the same height as pressure and as GNSS altitude.
fn igc(fixes: &[Fix]) -> String {
    let date = fixes[0].time.format("%d%m%y");
    let mut log = format!(
        "AXXX001\r\nHFDTEDATE:{date},01\r\nHFDTM100GPSDATUM:WGS84\r\nI013638FXA\r\nF120000010203\r\n"
    );
    for fix in fixes {
        let (lat, lat_min, south) = degrees_minutes(fix.position.lat(), 3);
        let (lon, lon_min, west) = degrees_minutes(fix.position.lon(), 3);
        let metres = fix.height.get().map_or(0.0, |height| height.m().round());
        writeln!(
            log,
            "B{}{lat:02}{:05.0}{}{lon:03}{:05.0}{}A{metres:05.0}{metres:05.0}012\r",
            fix.time.format("%H%M%S"),
            lat_min * 1000.0,
            hemisphere(south, ['N', 'S']),
            lon_min * 1000.0,
            hemisphere(west, ['E', 'W']),
        )
        .unwrap();
    }
    log + "LXXXthe end\r\nG0123456789ABCDEF\r\n"
}

/// The fixes as RMC and GGA sentences, minutes with four decimals.
fn nmea(fixes: &[Fix]) -> String {
    let mut log = String::new();
    for fix in fixes {
        let (lat, lat_min, south) = degrees_minutes(fix.position.lat(), 4);
        let (lon, lon_min, west) = degrees_minutes(fix.position.lon(), 4);
        let place = format!(
            "{lat:02}{lat_min:07.4},{},{lon:03}{lon_min:07.4},{}",
            hemisphere(south, ['N', 'S']),
            hemisphere(west, ['E', 'W'])
        );
        let time = fix.time.format("%H%M%S%.3f");
        let date = fix.time.format("%d%m%y");
        let height = fix.height.get().map_or(0.0, |height| height.m());
        for body in [
            format!("GPRMC,{time},A,{place},,,{date},,,A"),
            "GPVTG,,T,,M,,N,,K,A".to_owned(),
            format!("GPGGA,{time},{place},1,09,0.9,{height:.1},M,46.9,M,,"),
        ] {
            let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
            writeln!(log, "${body}*{sum:02X}\r").unwrap();
        }
    }
    log
}

fn gpx(fixes: &[Fix]) -> Vec<u8> {
    let mut bytes = Vec::new();
    gpx_out::write(&mut bytes, "Heron", fixes).unwrap();
    bytes
}

fn gzip(content: &[u8]) -> Vec<u8> {
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    packer.write_all(content).unwrap();
    packer.finish().unwrap()
}

/// Reads a file with this content and a name that says nothing.
fn reading(content: &[u8], salvage: bool) -> Result<Reading, InputError> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log");
    std::fs::write(&path, content).unwrap();
    read(
        &path,
        ReadSettings {
            salvage,
            local: None,
            spread_times: false,
        },
    )
}

fn debriefed(content: &[u8], tasking: &Tasking, plan: &Plan) -> Debrief {
    let track = clean(reading(content, false).unwrap(), &CleanSettings::default()).unwrap();
    debrief(&track, Path::new("log"), tasking, plan).unwrap()
}

#[test]
fn one_flight_in_every_format_gives_one_debrief() {
    let (tasking, plan) = tasking(TASKING);
    let settings = Settings {
        faults: many_faults(),
        ..Settings::for_tasking(&tasking)
    };
    let fixes = simulate(&plan, &settings, 5).unwrap().fixes;
    assert!(
        fixes
            .iter()
            .all(|fix| fix.time.timestamp_subsec_nanos() == 0)
    );
    let from_gpx = debriefed(&gpx(&fixes), &tasking, &plan);
    assert_eq!(from_gpx.log.height_kind, HeightKind::MeanSeaLevel);
    assert!(from_gpx.legs.iter().any(|leg| leg.flown_share < 0.5));

    // Metres by which a place may be off for rounding: half a unit in latitude and in longitude.
    for (name, content, place_m, height_kind) in [
        ("gzip", gzip(&gpx(&fixes)), 0.0, HeightKind::MeanSeaLevel),
        ("IGC", igc(&fixes).into_bytes(), 1.31, HeightKind::Ellipsoid),
        (
            "NMEA",
            nmea(&fixes).into_bytes(),
            0.14,
            HeightKind::MeanSeaLevel,
        ),
        (
            "IGC, gzip",
            gzip(igc(&fixes).as_bytes()),
            1.31,
            HeightKind::Ellipsoid,
        ),
    ] {
        let read = reading(&content, false).unwrap();
        assert!(read.ledger.entries.is_empty(), "{name}");
        let read: Vec<Fix> = read.segments.concat();
        assert_eq!(read.len(), fixes.len(), "{name}");
        for (read, flown) in read.iter().zip(&fixes) {
            assert_eq!(read.time, flown.time, "{name}");
            let (lat, lon) = (flown.position.lat(), flown.position.lon());
            let north_m = (read.position.lat() - lat) * 111_200.0;
            let east_m = (read.position.lon() - lon) * 111_400.0 * lat.to_radians().cos();
            assert!(
                north_m.hypot(east_m) <= place_m,
                "{name}: {north_m} {east_m}"
            );
            let (read, flown) = (
                read.height.get().unwrap().m(),
                flown.height.get().unwrap().m(),
            );
            assert!((read - flown).abs() <= 0.5, "{name}");
        }

        let found = debriefed(&content, &tasking, &plan);
        assert_eq!(found.log.height_kind, height_kind, "{name}");
        assert_eq!(found.passes.len(), from_gpx.passes.len(), "{name}");
        for (leg, expected) in found.legs.iter().zip(&from_gpx.legs) {
            assert_eq!(
                (&leg.leg, leg.state),
                (&expected.leg, expected.state),
                "{name}"
            );
            // The legs are 7 NM long, and a share is counted in steps from fix to fix of 46 m.
            let off = (leg.flown_share - expected.flown_share).abs();
            assert!(off < 0.01, "{name}, leg {}: {off}", leg.leg);
        }
        let (pod, expected) = (&found.coverage.pod, &from_gpx.coverage.pod);
        assert!(
            (pod.inverse_cube - expected.inverse_cube).abs() < 1e-3,
            "{name}"
        );
        assert!(
            (pod.definite_range - expected.definite_range).abs() < 1e-3,
            "{name}"
        );
        assert_eq!(
            found.strips_to_refly(),
            from_gpx.strips_to_refly(),
            "{name}"
        );
        if place_m == 0.0 {
            assert_eq!(pod.inverse_cube.to_bits(), expected.inverse_cube.to_bits());
        }
    }
}

/// Numbers that are the same every time: a linear congruential generator with the constants of
/// D. E. Knuth's MMIX (from memory; any would do).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % end
    }

    /// Cuts off, cuts out, repeats, overwrites, swaps or inserts.
    fn damage(&mut self, content: &mut Vec<u8>) {
        if content.is_empty() {
            return;
        }
        let at = self.below(content.len());
        let end = (at + 1 + self.below(120)).min(content.len());
        let byte = self.below(256) as u8;
        match self.below(6) {
            0 => content.truncate(at),
            1 => drop(content.drain(at..end)),
            2 => {
                let piece = content[at..end].to_vec();
                drop(content.splice(at..at, piece));
            }
            3 => content[at] = byte,
            4 => content[at..end].reverse(),
            _ => drop(content.splice(at..at, vec![byte; end - at])),
        }
    }
}

/// Whatever is made of the content is sound, and what is refused is refused with its place.
fn check(content: &[u8]) {
    let lines = 1..=content.iter().filter(|&&byte| byte == b'\n').count() as u32 + 1;
    let sound = |error: &InputError| {
        assert!(
            error.line.is_none_or(|line| lines.contains(&line)),
            "{error}"
        );
        assert!(error.to_string().contains("log"), "{error}");
        assert!(
            !error.problem.is_empty() && !error.hint.is_empty(),
            "{error}"
        );
    };
    for salvage in [false, true] {
        let reading = match reading(content, salvage) {
            Ok(reading) => reading,
            Err(error) => {
                sound(&error);
                continue;
            }
        };
        assert!(
            reading
                .ledger
                .entries
                .iter()
                .all(|entry| lines.contains(&entry.line))
        );
        match clean(reading, &CleanSettings::default()) {
            Err(error) => sound(&error),
            Ok(track) => {
                assert!(track.fixes.is_sorted_by(|a, b| a.time < b.time));
                assert!(track.fixes.iter().all(|fix| lines.contains(&fix.line)));
                assert_eq!(
                    track.stretches.last().map(|s| s.end),
                    Some(track.fixes.len())
                );
            }
        }
    }
}

fn few_fixes() -> Vec<Fix> {
    let (tasking, plan) = tasking(TASKING);
    let rehearsal = simulate(&plan, &Settings::for_tasking(&tasking), 5).unwrap();
    rehearsal.fixes.into_iter().take(25).collect()
}

#[test]
fn damaged_lines_never_panic_and_what_is_kept_is_sound() {
    let fixes = few_fixes();
    for (name, whole) in [("IGC", igc(&fixes)), ("NMEA", nmea(&fixes))] {
        check(whole.as_bytes());
        let mut numbers = Numbers(1);
        let mut seen = HashSet::new();
        for round in 0..150 {
            let mut content = whole.clone().into_bytes();
            for _ in 0..=round % 5 {
                numbers.damage(&mut content);
            }
            check(&content);
            seen.insert(content);
        }
        // Cut at every byte of the last lines as well.
        for cut in whole.len() - 90..whole.len() {
            check(&whole.as_bytes()[..cut]);
            seen.insert(whole.as_bytes()[..cut].to_vec());
        }
        assert!(seen.len() > 200, "{name}: {} different files", seen.len());
    }
}

#[test]
fn arbitrary_bytes_after_a_beginning_never_panic() {
    let mut numbers = Numbers(2);
    for begin in [
        "AXXX001\nHFDTE010526\nB",
        "$GPRMC,123519,A,",
        "\\",
        "$",
        "\u{1f}\u{8b}",
    ] {
        for _ in 0..60 {
            let mut content = begin.as_bytes().to_vec();
            for _ in 0..numbers.below(400) {
                content.push(numbers.below(256) as u8);
            }
            check(&content);
        }
    }
}

/// A line without an end is no reason to hold all of it.
#[test]
fn endless_lines_are_survived() {
    let fixes = few_fixes();
    let junk = "B".repeat(3_000_000);
    for whole in [igc(&fixes), nmea(&fixes)] {
        let log = format!("{whole}{junk}\n{junk}");
        let reading = reading(log.as_bytes(), false).unwrap();
        assert_eq!(reading.segments.concat().len(), fixes.len());
        assert_eq!(reading.ledger.entries.len(), 2);
    }
}

/// What is compressed and cut off is read up to there when salvaging, and refused with its place
/// otherwise.
#[test]
fn a_compressed_log_that_breaks_off_names_the_line() {
    let whole = nmea(&few_fixes());
    let packed = gzip(whole.as_bytes());
    let cut = &packed[..packed.len() - 12];
    let error = reading(cut, false).unwrap_err();
    assert!(error.line.is_some_and(|line| line > 1), "{error}");
    assert!(error.hint.contains("--salvage"));
    let kept = reading(cut, true).unwrap();
    assert!(!kept.segments.concat().is_empty());
}

#[test]
fn a_log_is_read_from_standard_input() {
    let content = igc(&few_fixes());
    let run = |stdin: &[u8]| {
        let mut command = assert_cmd::Command::new(env!("CARGO_BIN_EXE_overflown"));
        command
            .args(["inspect", "-", "--json"])
            .write_stdin(stdin.to_vec())
            .output()
            .unwrap()
    };
    let output = run(content.as_bytes());
    assert!(output.status.success());
    let json: serde_json::Value = serde_json::from_reader(Cursor::new(output.stdout)).unwrap();
    assert_eq!(json["files"][0]["name"], "standard input");
    assert_eq!(
        json["files"][0]["sha256"],
        overflown::input::sha256_hex(content.as_bytes())
    );
    assert_eq!(json["height_kind"], "ellipsoid");
    assert_eq!(json["fixes_kept"], 25);
    let output = run(b"nothing of the kind");
    assert_eq!(output.status.code(), Some(3));
    let text = String::from_utf8(output.stderr).unwrap();
    assert!(
        text.starts_with("error: standard input: the file is"),
        "{text}"
    );
}
