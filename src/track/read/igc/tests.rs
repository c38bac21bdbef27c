//! Records whose meaning the specification gives, and records made by hand.

use super::*;
use crate::track::HeightKind;
use crate::track::read::source::Content;
use crate::units::Length;
use std::io::Cursor;

fn reading(text: &str) -> Result<Reading, InputError> {
    let content = Content::begin(Box::new(Cursor::new(text.to_owned().into_bytes()))).unwrap();
    let source = Source::new(content).unwrap();
    read(Path::new("log"), source, ReadSettings::default())
}

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn entries(reading: &Reading) -> Vec<(u32, Finding)> {
    let entries = reading.ledger.entries.iter();
    entries.map(|entry| (entry.line, entry.finding)).collect()
}

fn times(reading: &Reading) -> Vec<String> {
    let fixes = reading.segments.iter().flatten();
    fixes.map(|fix| fix.time.to_rfc3339()).collect()
}

/// The example file of the specification (appendix A, its first fix; I, F, K, E, L and G records).
#[test]
fn the_example_of_the_specification() {
    let log = "AXXXABCFLIGHT:1\r\nHFFXA035\r\nHFDTE160701\r\nHFPLTPILOTINCHARGE: N N\r\n\
               HFDTM100GPSDATUM: WGS-1984\r\nI033638FXA3940SIU4143ENL\r\nJ010812HDT\r\n\
               F160240040609123624221821\r\nB1602405407121N00249342WA002800042120509950\r\n\
               E160245PEV\r\nK16024800090\r\nLXXXtext\r\nGREJNGJERJKNJKRE31895478537H43982FJN9248F942389T433T\r\n";
    let reading = reading(log).unwrap();
    let fix = reading.segments[0][0];
    assert_eq!(fix.time, at("2001-07-16T16:02:40Z"));
    assert_eq!(fix.position.to_string(), "54°07.121'N 002°49.342'W");
    assert_eq!(fix.height.get().map(Length::m), Some(421.0));
    assert_eq!(fix.line, 9);
    assert_eq!(reading.height_kind, HeightKind::Ellipsoid);
    assert!(reading.ledger.entries.is_empty());
}

const HEAD: &str = "AXXX001\nHFDTEDATE:010526,01\n";

#[test]
fn both_spellings_of_the_date_and_midnight() {
    for date in [
        "HFDTE311226",
        "HFDTEDATE:311226,01",
        "HFDTEDATE: 311226 , 02",
        "HODTE311226",
    ] {
        let log = format!(
            "AXXX001\n{date}\nB2359584700000N01200000EA0010000150\nB2359594700010N01200000EA0010000150\n\
             B0000014700020N01200000EA0010000150\nB2359604700015N01200000EA0010000150\n"
        );
        assert_eq!(
            times(&reading(&log).unwrap()),
            [
                "2026-12-31T23:59:58+00:00",
                "2026-12-31T23:59:59+00:00",
                "2027-01-01T00:00:01+00:00",
                // Out of order, and a leap second: still the night before.
                "2027-01-01T00:00:00+00:00",
            ],
            "{date}"
        );
    }
    // A date record written again at midnight does not count the day twice.
    let log = "HFDTE311226\nB2359594700010N01200000EA0010000150\nHFDTE010127\n\
               B0000014700020N01200000EA0010000150\n";
    assert_eq!(
        times(&reading(log).unwrap())[1],
        "2027-01-01T00:00:01+00:00"
    );
}

#[test]
fn added_columns_are_found_by_their_table() {
    // A column of another kind stands before those for the decimals.
    let log = format!(
        "{HEAD}I043638FXA3940LAD4142LOD4343TDS\nB1504054730123N01200456EA001000015099978905\n"
    );
    let fix = reading(&log).unwrap().segments[0][0];
    assert_eq!(fix.time, at("2026-05-01T15:04:05.5Z"));
    // 30.12378' and 0.45690'.
    assert!((fix.position.lat() - (47.0 + 30.12378 / 60.0)).abs() < 1e-12);
    assert!((fix.position.lon() - (12.0 + 0.45690 / 60.0)).abs() < 1e-12);
    // Without the table, or with a broken one, they are not read.
    for table in ["", "I013538LAD\n", "I02363\n", "Ix13638LAD\n"] {
        let reading = reading(&log.replace("I043638FXA3940LAD4142LOD4343TDS\n", table)).unwrap();
        let fix = reading.segments[0][0];
        assert_eq!(fix.time, at("2026-05-01T15:04:05Z"));
        assert!((fix.position.lat() - (47.0 + 30.123 / 60.0)).abs() < 1e-12);
        let damaged = [(3, Finding::DamagedLine)];
        assert_eq!(entries(&reading), damaged[..usize::from(!table.is_empty())]);
    }
}

#[test]
fn heights_are_one_kind_for_the_whole_log() {
    let log = |head: &str, fixes: [(&str, &str); 3]| {
        let fixes: String = (1..)
            .zip(fixes)
            .map(|(i, (valid, heights))| format!("B15040{i}473000{i}N01200000E{valid}{heights}\n"))
            .collect();
        let reading = reading(&format!("{HEAD}{head}{fixes}")).unwrap();
        let heights: Vec<_> = reading.segments[0]
            .iter()
            .map(|fix| fix.height.get().map(Length::m))
            .collect();
        (reading.height_kind, heights)
    };
    let both = [
        ("A", "0010000150"),
        ("V", "0010100000"),
        ("A", "-001200003"),
    ];
    let all = |kind, heights: [Option<f64>; 3]| (kind, heights.to_vec());
    assert_eq!(
        log("", both),
        all(HeightKind::Ellipsoid, [Some(150.0), None, Some(3.0)])
    );
    assert_eq!(
        log("HFALGALTGPS:GEO\n", both),
        all(HeightKind::MeanSeaLevel, [Some(150.0), None, Some(3.0)])
    );
    assert_eq!(
        log("HFALGALTGPS:NIL\nHFALPALTPRESSURE:ISA\n", both),
        all(
            HeightKind::Pressure,
            [Some(100.0), Some(101.0), Some(-12.0)]
        )
    );
    let pressure = [
        ("A", "0010000000"),
        ("V", "0010100000"),
        ("A", "-001200000"),
    ];
    assert_eq!(
        log("", pressure),
        all(
            HeightKind::Pressure,
            [Some(100.0), Some(101.0), Some(-12.0)]
        )
    );
    let neither = [
        ("A", "0000000000"),
        ("V", "0000000000"),
        ("A", "0000000000"),
    ];
    assert_eq!(log("", neither), all(HeightKind::Unknown, [None; 3]));
}

#[test]
fn bad_records_cost_only_themselves() {
    use Finding::{BadHeight, BadTime, DamagedLine, NoFix, NullIsland, OutOfRange, Unreadable};
    let good = "B1504004730000N01200000EA0010000150";
    for (record, finding) in [
        ("B1504014730000N01200000EA00100001", Unreadable),
        ("B1504014730000N01200000EX0010000150", Unreadable),
        ("B1504014730000X01200000EA0010000150", Unreadable),
        ("B15040147+0000N01200000EA0010000150", Unreadable),
        ("B1504014760000N01200000EA0010000150", OutOfRange),
        ("B1504019130000N01200000EA0010000150", OutOfRange),
        ("B1504014730000N18100000EA0010000150", OutOfRange),
        ("B1504010000000N00000000EA0010000150", NullIsland),
        ("B2504014730000N01200000EA0010000150", BadTime),
        ("B15 4014730000N01200000EA0010000150", BadTime),
        // The position of the record before once more, without a fix.
        ("B1504014730000N01200000EV0010000000", NoFix),
        ("B1504014730000N01200000EA00100000x0", BadHeight),
        ("what is this", DamagedLine),
        ("B\u{e9}504014730000N01200000EA0010000150", BadTime),
    ] {
        let after = good.replace("B150400473", "B150402473");
        let log = format!("{HEAD}{good}\n{record}\n{after}\n");
        let reading = reading(&log).unwrap_or_else(|error| panic!("{record}: {error}"));
        assert_eq!(entries(&reading), [(4, finding)], "{record}");
        assert_eq!(reading.ledger.entries[0].raw.trim_end_matches(['…']), {
            if finding == BadHeight {
                "2026-05-01T15:04:01Z 47.5 12 no height: 000x0"
            } else {
                record
            }
        });
        let kept = reading.segments.iter().flatten().count();
        assert_eq!(kept, if finding == BadHeight { 3 } else { 2 }, "{record}");
    }
}

#[test]
fn logs_that_cannot_be_placed_in_time_or_space_are_refused() {
    let fix = "B1504004730000N01200000EA0010000150\n";
    for (log, line, problem) in [
        (
            format!("AXXX001\n{fix}"),
            Some(2),
            "no date record (HFDTE) before it",
        ),
        (
            format!("AXXX001\nHFDTE320126\n{fix}"),
            Some(2),
            "the date record cannot be read (HFDTE320126)",
        ),
        (
            format!("{HEAD}HFDTM027GPSDATUM:OTHER\n{fix}"),
            Some(3),
            "on another datum (HFDTM027GPSDATUM:OTHER)",
        ),
        (
            format!("{HEAD}LXXXnothing\n"),
            None,
            "3 records, but none of a fix (B)",
        ),
    ] {
        let error = reading(&log).unwrap_err();
        assert_eq!(error.line, line, "{log}");
        assert!(error.problem.contains(problem), "{error}");
        assert!(!error.hint.is_empty());
    }
}
