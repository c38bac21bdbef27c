//! Tables (RFC 4180).

use crate::support::{entries, file, fixes, reading, refused, said, settings, with_columns};
use overflown::track::read::read;
use overflown::track::{Finding, HeightKind, Reading};

const TABLE: &str = "time,lat,lon,altitude (ft)\n\
                     2026-05-01T15:04:00Z,47.5,12.000,1500\n\
                     2026-05-01T15:04:01Z,47.5,12.001,1500\n\
                     2026-05-01T15:04:02Z,47.5,12.002,1500\n";

fn values(reading: &Reading) -> Vec<(String, f64, f64, Option<f64>)> {
    fixes(reading)
        .into_iter()
        .map(|(_, time, lat, lon, height)| {
            (time, lat, lon, height.map(|m| (m * 1e6).round() / 1e6))
        })
        .collect()
}

/// 1500 ft = 457.2 m (1 ft = 0.3048 m). RFC 4180, 2: fields may be in quotation marks, with separators, line
/// breaks and doubled quotation marks inside; the last line may have no break.
#[test]
fn tables_are_read_exactly() {
    let log = reading(TABLE).unwrap();
    assert_eq!(log.height_kind, HeightKind::Unknown);
    let expected = values(&log);
    assert_eq!(
        expected[2],
        ("2026-05-01T15:04:02Z".to_owned(), 47.5, 12.002, Some(457.2))
    );
    assert_eq!(fixes(&log)[2].0, 4);
    for (name, other, ledger) in [
        (
            "CR LF, no break at the end",
            TABLE.trim_end().replace('\n', "\r\n"),
            0,
        ),
        ("a byte order mark", format!("\u{FEFF}{TABLE}"), 0),
        ("tabs", TABLE.replace(',', "\t"), 0),
        (
            "semicolons and decimal commas",
            TABLE.replace(',', ";").replace('.', ","),
            0,
        ),
        (
            "tabs and decimal commas",
            TABLE.replace(',', "\t").replace('.', ","),
            0,
        ),
        (
            "quoted",
            TABLE.replace("47.5", "\"47.5\"").replace("lat", "\"lat\""),
            0,
        ),
        (
            "metres",
            TABLE.replace("(ft)", "[m]").replace("1500", "457.2"),
            0,
        ),
        (
            "more columns, in another order",
            "note,Longitude,GPS Alt Ft,Latitude,Timestamp\n\
             \"a, b\",12.000,1500,47.5,2026-05-01T15:04:00Z\n\
             \"he said \"\"up\"\"\",12.001,1500,47.5,2026-05-01 15:04:01Z\n\
             \"two\nlines\",12.002,1500,47.5,20260501T150402Z\n"
                .to_owned(),
            0,
        ),
        (
            "date and time apart",
            TABLE
                .replace("time,", "date,time (UTC),")
                .replace("-01T", "-01,")
                .replace("Z,", ","),
            0,
        ),
        ("comments", format!("# made by hand, today\n\n{}", TABLE), 0),
        (
            "empty columns behind",
            TABLE.replace("1500\n", "1500,,\n"),
            0,
        ),
        (
            "seconds since 1970",
            TABLE
                .replace("2026-05-01T15:04:0", "177764784")
                .replace("Z,", ","),
            0,
        ),
        ("no zone", TABLE.replace("Z,", ","), 3),
        (
            "no zone, but UTC in the header",
            TABLE.replace("Z,", ",").replace("time", "utc_time"),
            0,
        ),
    ] {
        let reading = reading(&other).unwrap_or_else(|error| panic!("{name}: {error}\n{other}"));
        assert_eq!(values(&reading), expected, "{name}");
        assert_eq!(reading.ledger.entries.len(), ledger, "{name}");
    }
    let msl = TABLE.replace("altitude", "MSL altitude");
    assert_eq!(reading(msl).unwrap().height_kind, HeightKind::MeanSeaLevel);
}

/// Lines are those on which the row begins, whatever came before.
#[test]
fn rows_know_their_lines() {
    let log = "# a\n\nnote,time,lat,lon\n\n\"a\nb\",2026-05-01T15:04:00Z,47.5,12.000\n# c\n\r\n\
               \"c\n\n\",2026-05-01T15:04:01Z,47.5,12.001\nd,2026-05-01T15:04:02Z,47.5,12.002";
    let lines: Vec<u32> = fixes(&reading(log).unwrap())
        .iter()
        .map(|fix| fix.0)
        .collect();
    assert_eq!(lines, [5, 9, 12]);
    // A last field that ends with a line break is no quotation mark left open.
    let log = "time,lat,lon,note\n2026-05-01T15:04:00Z,47.5,12.000,\"a\n\"\n\
               2026-05-01T15:04:01Z,47.5,12.001,\"b\n\"\n2026-05-01T15:04:02Z,47.5,12.002,c\n";
    let lines: Vec<u32> = fixes(&reading(log).unwrap())
        .iter()
        .map(|fix| fix.0)
        .collect();
    assert_eq!(lines, [2, 4, 6]);
}

#[test]
fn columns_can_be_given() {
    let expected = values(&reading(TABLE).unwrap());
    let rows = TABLE.split_once('\n').unwrap().1;
    let columns = "time=1,lat=2,lon=3,height=4 ft";
    assert_eq!(values(&with_columns(rows, columns).unwrap()), expected);
    let named = format!("a,b,c,d\n{rows}");
    assert_eq!(values(&with_columns(&named, columns).unwrap()), expected);
    let dates = rows.replace("2026-05-01T", "01/05/2026 ");
    let read = with_columns(&dates, "time=1 dmy,lat=2,lon=3,height=4 ft").unwrap();
    assert_eq!(values(&read), expected);
    let read = with_columns(
        &dates.replace("01/05", "05/01"),
        "time=1 mdy,lat=2,lon=3,height=4 ft",
    )
    .unwrap();
    assert_eq!(values(&read), expected);
    let local = with_columns(&rows.replace("Z,", ","), "time=1,lat=2,lon=3").unwrap();
    assert_eq!(local.ledger.counts()[&Finding::NoZone], 3);
    let utc = with_columns(&rows.replace("Z,", ","), "time=1 utc,lat=2,lon=3").unwrap();
    assert!(utc.ledger.entries.is_empty());

    let error = with_columns(rows, "time=1,lat=2,lon=7").unwrap_err();
    assert_eq!(
        said(&error),
        "log, line 1: column 7 is to be read, but there are 4 in the first row"
    );
    let error = with_columns("<gpx/>", columns).unwrap_err();
    assert_eq!(
        said(&error),
        "log: columns are given, but the file is no table"
    );
}

#[test]
fn a_bad_row_costs_only_itself() {
    use Finding::{BadHeight, BadTime, NoTime, NullIsland, OutOfRange, Unreadable};
    for (row, finding, raw) in [
        (
            "2026-05-01T15:04:03Z,91,12,1",
            OutOfRange,
            "time=\"2026-05-01T15:04:03Z\" lat=\"91\" lon=\"12\" height=\"1\"",
        ),
        (
            "2026-05-01T15:04:03Z,0,0,1",
            NullIsland,
            "time=\"2026-05-01T15:04:03Z\" lat=\"0\" lon=\"0\" height=\"1\"",
        ),
        (
            "2026-05-01T15:04:03Z,,,",
            Unreadable,
            "time=\"2026-05-01T15:04:03Z\" lat=\"\" lon=\"\" height=\"\"",
        ),
        (
            "2026-05-01T15:04:03Z,47N,12,1",
            Unreadable,
            "time=\"2026-05-01T15:04:03Z\" lat=\"47N\" lon=\"12\" height=\"1\"",
        ),
        (
            "2026-05-01T15:04:03Z,47,12",
            Unreadable,
            "3 fields for 4: 2026-05-01T15:04:03Z|47|12",
        ),
        // Decimal commas between commas: the values would be in the columns of others.
        (
            "2026-05-01T15:04:03Z,47,5,12,1,1",
            Unreadable,
            "6 fields for 4: 2026-05-01T15:04:03Z|47|5|12|1|1",
        ),
        (
            "2026-05-01T15:04:03Z,\"47,5\",12,1",
            Unreadable,
            "time=\"2026-05-01T15:04:03Z\" lat=\"47,5\" lon=\"12\" height=\"1\"",
        ),
        (
            ",47,12,1",
            NoTime,
            "time=\"\" lat=\"47\" lon=\"12\" height=\"1\"",
        ),
        (
            "15:04:03,47,12,1",
            BadTime,
            "time=\"15:04:03\" lat=\"47\" lon=\"12\" height=\"1\"",
        ),
        (
            "2026-13-01T15:04:03Z,47,12,1",
            BadTime,
            "time=\"2026-13-01T15:04:03Z\" lat=\"47\" lon=\"12\" height=\"1\"",
        ),
        (
            "2026-05-01 3:04:03 PM,47,12,1",
            BadTime,
            "time=\"2026-05-01 3:04:03 PM\" lat=\"47\" lon=\"12\" height=\"1\"",
        ),
        (
            "2026-05-01T15:04:03Z,47.5,12.003,high",
            BadHeight,
            "time=\"2026-05-01T15:04:03Z\" lat=\"47.5\" lon=\"12.003\" height=\"high\"",
        ),
        (
            "2026-05-01T15:04:03Z,47.5,12.003,\"1,500\"",
            BadHeight,
            "time=\"2026-05-01T15:04:03Z\" lat=\"47.5\" lon=\"12.003\" height=\"1,500\"",
        ),
        (
            "time,lat,lon,altitude (ft)",
            Unreadable,
            "time=\"time\" lat=\"lat\" lon=\"lon\" height=\"altitude (ft)\"",
        ),
    ] {
        let reading = reading(format!(
            "{TABLE}{row}\n{}",
            "2026-05-01T15:04:04Z,47.5,12.004,1500\n"
        ));
        let reading = reading.unwrap();
        assert_eq!(entries(&reading), [(5, finding, raw)], "{row}");
        let kept = if finding == BadHeight { 5 } else { 4 };
        assert_eq!(fixes(&reading).len(), kept, "{row}");
    }
    let unknown = reading(TABLE.replace(" (ft)", "")).unwrap();
    assert_eq!(
        entries(&unknown),
        [(
            1,
            BadHeight,
            "altitude: neither m nor ft is given, see --columns"
        )]
    );
    assert!(fixes(&unknown).iter().all(|fix| fix.4.is_none()));
}

#[test]
fn tables_that_cannot_be_understood_are_refused() {
    let columns = "--columns";
    refused(
        TABLE.replace("lat,lon", "breadth,length"),
        "log, line 1: the first line (\"time|breadth|length|altitude (ft)\") names no latitude, no \
         longitude; recognised in it: time in column 1, height in column 4",
        columns,
    );
    refused(
        TABLE.split_once('\n').unwrap().1,
        "log, line 1: the first line (\"2026-05-01T15:04:00Z|47.5|12.000|1500\") names no time, no \
         latitude, no longitude; recognised in it: nothing",
        columns,
    );
    refused(
        TABLE.replace("time,", "local time,"),
        "log, line 1: the first line (\"local time|lat|lon|altitude (ft)\") names no time; recognised in \
         it: latitude in column 2, longitude in column 3, height in column 4",
        columns,
    );
    refused(
        TABLE.replace("altitude (ft)", "timestamp"),
        "log, line 1: columns 1 (\"time\") and 4 (\"timestamp\") may both be the time",
        columns,
    );
    refused(
        TABLE.replace("altitude (ft)", "E/W"),
        "log, line 1: column 4 (\"E/W\") gives hemispheres apart from the degrees, which is not read: \
         degrees need their sign, north and east positive",
        columns,
    );
    for date in ["01/02/2026", "25.02.2026", "1-2-26"] {
        refused(
            TABLE.replace("2026-05-01T", &format!("{date} ")),
            &format!(
                "log, line 2: the date in \"{date} 15:04:00Z\" does not begin with its year, so that day \
                 and month may be mistaken for each other"
            ),
            "dmy",
        );
    }
    refused(
        "time,lat,lon\n\n\n,,\n",
        "log: the table has no row under its header",
        columns,
    );
    refused(
        TABLE.to_owned()
            + "\"2026-05-01T15:04:03Z,47.5,12.003,1500\n2026-05-01T15:04:04Z,47.5,12.004,1\n",
        "log, line 5: a quotation mark that is opened here is never closed; 3 good points stand before",
        "--salvage",
    );
    let open = TABLE.to_owned() + "\"2026-05-01T15:04:03Z,47.5,12.003,1500\n";
    let salvaged = read(&file(open).path, settings(true)).unwrap();
    assert_eq!(fixes(&salvaged).len(), 3);
    assert_eq!(salvaged.ledger.entries[0].line, 5);
}
