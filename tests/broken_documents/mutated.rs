//! Logs cut off, changed and made up.

use crate::support::{file, settings, track};
use crate::written::{
    ABSOLUTE, archive, geojson_line, in_turn, kml, list, point_feature, times_first,
};
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::{Columns, read, read_table};
use proptest::prelude::*;
use std::collections::BTreeSet;

/// Good logs of all these formats.
fn good() -> Vec<(&'static str, Vec<u8>)> {
    let points: String = list(0..12, point_feature);
    let table = |separator: &str| -> String {
        let rows: String = (0..12)
            .map(|s| format!("2026-05-01T15:04:{s:02}Z,47.5,12.0{s:02},1500\n"))
            .collect();
        ("time,lat,lon,altitude (ft)\n".to_owned() + &rows).replace(',', separator)
    };
    let track = kml(&(ABSOLUTE.to_owned() + &times_first(0..12)));
    vec![
        ("KML, in turn", kml(&in_turn(0..12)).into_bytes()),
        ("KML, times first", track.clone().into_bytes()),
        ("KMZ", archive(&[("doc.kml", track.as_bytes())])),
        ("GeoJSON, a line", geojson_line(0..12).into_bytes()),
        (
            "GeoJSON, points",
            format!("{{\"type\": \"FeatureCollection\", \"features\": [\n{points}]}}").into_bytes(),
        ),
        ("commas", table(",").into_bytes()),
        ("semicolons", table(";").replace('.', ",").into_bytes()),
        ("tabs", table("\t").into_bytes()),
    ]
}

/// Whatever comes of a file is sound: an error that names file, problem and remedy, or fixes that are places
/// with ledger entries that stand in the file.
fn sound(content: &[u8], lines: Option<u32>) -> Result<(), String> {
    let log = file(content);
    let columns: Columns = "time=1,lat=2,lon=3,height=4 m".parse().unwrap();
    for salvage in [false, true] {
        for result in [
            read(&log.path, settings(salvage)),
            read_table(&log.path, settings(salvage), columns),
        ] {
            let result = result.and_then(|reading| {
                for entry in &reading.ledger.entries {
                    let fits = entry.line >= 1 && lines.is_none_or(|lines| entry.line <= lines);
                    assert!(fits, "{entry:?} of {lines:?} lines");
                    // 80 characters and … of each of a point's five values, with their names; of a fault of the
                    // file itself with what it is before them.
                    assert!(entry.raw.chars().count() <= 5 * 92, "{entry:?}");
                }
                clean(reading, &CleanSettings::default())
            });
            match result {
                Err(error) => {
                    let text = error.to_string();
                    let named = text.contains("log");
                    if !named || error.problem.is_empty() || error.hint.is_empty() {
                        return Err(format!("{text} ({})", error.hint));
                    }
                    if error.problem.ends_with('.') || error.problem.contains('\n') {
                        return Err(format!("{text} is no sentence"));
                    }
                    if error.line == Some(0) || lines.is_some_and(|most| error.line > Some(most)) {
                        return Err(format!("{text} is not in the file"));
                    }
                }
                Ok(track) => {
                    if !track.fixes.is_sorted_by(|a, b| a.time < b.time) {
                        return Err("times out of order".to_owned());
                    }
                }
            }
        }
    }
    Ok(())
}

fn lines_of(content: &[u8]) -> Option<u32> {
    // Of an archive the lines are those of what is in it.
    let feeds = content.iter().filter(|&&byte| byte == b'\n').count();
    (!content.starts_with(b"PK")).then(|| u32::try_from(feeds).unwrap() + 1)
}

/// Cut off at forty places, and changed in forty ways, each of eight files.
#[test]
fn truncated_and_mutated_logs_are_survived() {
    let mut broken = BTreeSet::new();
    // Linear congruence of Knuth's MMIX (The Art of Computer Programming, 3.3.4, from memory): any would do.
    let mut state = 20_260_501_u64;
    let mut next = |below: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(state >> 33).unwrap() % below
    };
    for (name, content) in good() {
        let fine = track(&content).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(fine.fixes.len(), 12, "{name}");
        for part in 0..40 {
            broken.insert(content[..content.len() * part / 40].to_vec());
            let mut changed = content.clone();
            for _ in 0..=next(3) {
                let at = next(changed.len());
                let end = (at + next(30)).min(changed.len());
                match next(5) {
                    0 => drop(changed.drain(at..end)),
                    1 => {
                        let piece = changed[at..end].to_vec();
                        drop(changed.splice(at..at, piece));
                    }
                    2 => changed[at] = u8::try_from(next(256)).unwrap(),
                    3 => changed[at] = b"<>&\"',;[]{}\0\n\r\t-.:Z0"[next(20)],
                    _ => drop(changed.splice(at..at, b"\xFF\xFE\x80".iter().copied())),
                }
                if changed.is_empty() {
                    changed.push(b' ');
                }
            }
            broken.insert(changed);
        }
    }
    assert!(broken.len() >= 500, "{} files", broken.len());
    for content in broken {
        let lines = lines_of(&content);
        if let Err(problem) = sound(&content, lines) {
            panic!("{problem}\nof {}", String::from_utf8_lossy(&content));
        }
    }
}

proptest! {
    #[test]
    fn arbitrary_bytes_never_panic(
        bytes in prop::collection::vec(any::<u8>(), 0..300),
        start in prop::sample::select(vec![
            &b"<kml><Placemark><Track>"[..],
            b"{\"type\": \"Feature\", ",
            b"time,lat,lon\n",
            b"PK\x03\x04",
        ]),
    ) {
        let content = [start, &bytes].concat();
        prop_assert_eq!(sound(&content, lines_of(&content)), Ok(()));
    }
}
