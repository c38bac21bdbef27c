//! One line of a log damaged: what is said about it names the place, and nothing is written.

use crate::seeds::{SMALL, seeds};
use crate::turn;
use assert_cmd::Command;
use overflown::input::InputError;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::{ReadSettings, read_bytes};
use overflown::track::{Ledger, Reading};
use std::collections::BTreeSet;
use std::path::Path;

/// Ways in which a line is damaged.
const WAYS: usize = 8;

/// The line, damaged in one of the ways.
fn damaged(line: &[u8], way: usize) -> Vec<u8> {
    let half = line.len() / 2;
    match way {
        0 => line[..half].to_vec(),
        1 => line[half..].to_vec(),
        2 => line.get(1..).unwrap_or_default().to_vec(),
        3 => line
            .iter()
            .map(|byte| if byte.is_ascii_digit() { b'x' } else { *byte })
            .collect(),
        4 => [&line[..half], b"<", &line[half..]].concat(),
        5 => vec![0xFF; line.len()],
        6 => [&line[..half], b"\0", &line[half..]].concat(),
        _ => line
            .iter()
            .map(|byte| if *byte == b'4' { b'9' } else { *byte })
            .collect(),
    }
}

fn read(content: &[u8]) -> Result<Reading, InputError> {
    read_bytes(Path::new("log"), content, ReadSettings::default(), None)
}

fn fixes(reading: &Reading) -> usize {
    reading.segments.iter().map(Vec::len).sum()
}

fn near(ledger: &Ledger, line: u32) -> bool {
    ledger
        .entries
        .iter()
        .any(|entry| entry.line.abs_diff(line) <= 1)
}

#[test]
fn what_is_said_names_the_place_and_nothing_is_written() {
    let _turn = turn();
    let text = ["gpx", "igc", "nmea", "kml", "geojson", "table"];
    let logs = seeds().into_iter().filter(|(feed, ..)| text.contains(feed));
    let (mut seen, mut refused) = (BTreeSet::new(), Vec::new());
    // A table whose columns are given, and a drawn line, are no logs by themselves.
    let logs = logs.filter(|(_, name, _)| !["columns", "line"].contains(name));
    for (feed, name, content) in logs {
        let whole = fixes(&read(&content).unwrap());
        let lines: Vec<&[u8]> = content.split(|byte| *byte == b'\n').collect();
        let count = u32::try_from(lines.len()).unwrap();
        for (at, way) in (0..lines.len()).flat_map(|at| (0..WAYS).map(move |way| (at, way))) {
            let new = damaged(lines[at], way);
            let mut broken: Vec<&[u8]> = lines.clone();
            broken[at] = &new;
            let broken = broken.join(&b'\n');
            if broken == content || !seen.insert(broken.clone()) {
                continue;
            }
            let place = u32::try_from(at).unwrap() + 1;
            let which = format!("{feed} {name}, line {place} damaged in way {way}");
            let result = read(&broken).and_then(|reading| {
                for entry in &reading.ledger.entries {
                    assert!((1..=count).contains(&entry.line), "{which}: {entry:?}");
                }
                // Of a GeoJSON feature the type or the time's name is another then: it is no point of a log.
                let other = feed == "geojson" && way == 4;
                if fixes(&reading) < whole && !other {
                    assert!(
                        near(&reading.ledger, place),
                        "{which}: {:?}",
                        reading.ledger
                    );
                }
                clean(reading, &CleanSettings::default())
            });
            let Err(error) = result else { continue };
            assert!(!error.hint.is_empty(), "{which}: {error}");
            match error.line {
                // Where a tag is missing is known when the next one does not fit; of many points that cannot be
                // used the first is named.
                Some(line) => {
                    let many = error.problem.contains("points cannot be used");
                    let from = if many { 1 } else { place.saturating_sub(1) };
                    assert!(
                        (from..=count).contains(&line) || line == 1,
                        "{which}: {error}"
                    );
                }
                // A fault of the whole has no place.
                None => assert!(
                    [
                        "the file ",
                        "the log ",
                        "the times ",
                        "the table ",
                        "none of the "
                    ]
                    .iter()
                    .any(|start| error.problem.starts_with(start)),
                    "{which}: {error}"
                ),
            }
            refused.push((which, broken));
        }
    }
    assert!(seen.len() >= 300, "{} files", seen.len());
    assert!(refused.len() >= 100, "{} refused", refused.len());
    // One in four through the program.
    let folder = tempfile::tempdir().unwrap();
    let (log, tasking) = (
        folder.path().join("log"),
        folder.path().join("tasking.toml"),
    );
    std::fs::write(&tasking, SMALL).unwrap();
    for (which, broken) in refused.iter().step_by(4) {
        std::fs::write(&log, broken).unwrap();
        let output = Command::cargo_bin("overflown")
            .unwrap()
            .current_dir(folder.path())
            .args(["debrief", "log", "--tasking", "tasking.toml"])
            .output()
            .unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(3), "{which}: {said}");
        assert!(
            said.starts_with("error: log") && said.contains("hint: "),
            "{which}: {said}"
        );
        assert!(output.stdout.is_empty(), "{which}");
        assert_eq!(
            std::fs::read_dir(folder.path()).unwrap().count(),
            2,
            "{which}"
        );
    }
}
