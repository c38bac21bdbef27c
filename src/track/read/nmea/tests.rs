//! Sentences that are published with their meaning, and sentences made by hand.

use super::*;
use crate::track::read::source::Content;
use std::io::Cursor;

fn reading(text: &str) -> Result<Reading, InputError> {
    let content = Content::begin(Box::new(Cursor::new(text.to_owned().into_bytes()))).unwrap();
    let source = Source::new(content).unwrap();
    read(Path::new("log"), source, ReadSettings::default())
}

fn entries(reading: &Reading) -> Vec<(u32, Finding)> {
    let entries = reading.ledger.entries.iter();
    entries.map(|entry| (entry.line, entry.finding)).collect()
}

fn fixes(reading: &Reading) -> Vec<String> {
    let fixes = reading.segments.iter().flatten();
    fixes
        .map(|fix| {
            let height = fix
                .height
                .get()
                .map_or("-".to_owned(), |height| height.m().to_string());
            let time = fix.time.format("%Y-%m-%d %H:%M:%S%.f");
            format!("{} {time} {} {height}", fix.line, fix.position)
        })
        .collect()
}

/// With the check sum of its body.
fn sum(body: &str) -> String {
    let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
    format!("${body}*{sum:02X}\n")
}

/// The examples that go around with nearly every description of the sentences, with their check sums:
/// 48°07.038' N 011°31.000' E, 545.4 m above mean sea level, on 23 March 1994 at 12:35:19 (D. DePriest,
/// "NMEA data"); ZDA and GNS from "NMEA Revealed" (GNS without
/// the comma that stands there before the check sum, which is that of the sentence without it).
#[test]
fn published_sentences_have_their_published_meaning() {
    let gga = "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n";
    let rmc = "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\r\n";
    let expected = "1994-03-23 12:35:19 48°07.038'N 011°31.000'E 545.4";
    for log in [[gga, rmc].concat(), [rmc, gga].concat()] {
        let reading = reading(&log).unwrap();
        assert_eq!(fixes(&reading), [format!("1 {expected}")]);
        assert!(reading.ledger.entries.is_empty());
        assert_eq!(reading.height_kind, HeightKind::MeanSeaLevel);
    }
    let gns =
        "$GPGNS,224749.00,3333.4268304,N,11153.3538273,W,D,19,0.6,406.110,-26.294,6.0,0138,S*6A\n";
    let zda = "$GPZDA,160012.71,11,03,2004,-1,00*7D\n";
    let reading = reading(&[zda, gns].concat()).unwrap();
    assert_eq!(
        fixes(&reading),
        ["2 2004-03-11 22:47:49 33°33.427'N 111°53.354'W 406.11"]
    );
    let position = reading.segments[0][0].position;
    assert!((position.lat() - (33.0 + 33.426_830_4 / 60.0)).abs() < 1e-12);
}

#[test]
fn sentences_of_one_time_make_one_fix_and_dates_reach_over_midnight() {
    let gga = |time: &str, lat: &str| {
        sum(&format!(
            "GNGGA,{time},{lat},N,01200.000,E,1,08,0.9,300.0,M,46.9,M,,"
        ))
    };
    let rmc = |time: &str, lat: &str, date: &str| {
        sum(&format!(
            "GNRMC,{time},A,{lat},N,01200.000,E,90.0,0.0,{date},,,A"
        ))
    };
    let log = [
        gga("235957.50", "4730.000"),
        sum("GPVTG,0.0,T,,M,90.0,N,166.7,K,A"),
        gga("235958.50", "4730.010"),
        rmc("235958.50", "4730.010", "311226"),
        "\\s:rcv1,c:1798761600*1A\\".to_owned() + &gga("000000.50", "4730.040"),
        sum("PXXX,proprietary"),
        "!AIVDM,1,1,,A,packed,0*00\n".to_owned(),
        rmc("000001.50", "4730.050", "010127"),
        gga("000001.50", "4730.050"),
    ]
    .concat();
    let reading = reading(&log).unwrap();
    assert!(reading.ledger.entries.is_empty(), "{:?}", reading.ledger);
    assert_eq!(
        fixes(&reading),
        [
            "1 2026-12-31 23:59:57.500 47°30.000'N 012°00.000'E 300",
            "3 2026-12-31 23:59:58.500 47°30.010'N 012°00.000'E 300",
            "5 2027-01-01 00:00:00.500 47°30.040'N 012°00.000'E 300",
            "8 2027-01-01 00:00:01.500 47°30.050'N 012°00.000'E 300",
        ]
    );
}

#[test]
fn what_is_not_measured_is_not_used() {
    let rmc = |second: u32, status: &str, mode: &str| {
        sum(&format!(
            "GPRMC,1504{second:02},{status},4730.0{second:02},N,01200.000,E,,,010526,,,{mode}"
        ))
    };
    let gga = |second: u32, quality: u32| {
        sum(&format!(
            "GPGGA,1504{second:02},4730.000,N,01200.000,E,{quality},08,0.9,300.0,M,,M,,"
        ))
    };
    let log = [
        sum("GPRMC,,V,,,,,,,,,,N"),
        rmc(1, "A", "A"),
        rmc(2, "V", "N"),
        gga(2, 1),
        rmc(3, "A", "E"),
        rmc(4, "A", "S"),
        rmc(5, "A", "D"),
        gga(5, 0),
        gga(6, 6),
        rmc(7, "A", "R"),
        sum("GNGNS,150408,4730.000,N,01200.000,E,NN,00,,,,,"),
        sum("GNGNS,150409,4730.000,N,01200.000,E,NA,05,1.0,300.5,46.9,,"),
    ]
    .concat();
    let reading = reading(&log).unwrap();
    let lines: Vec<u32> = reading
        .segments
        .iter()
        .flatten()
        .map(|fix| fix.line)
        .collect();
    assert_eq!(lines, [2, 10, 12]);
    assert_eq!(reading.segments.len(), 3);
    let expected = [1, 3, 5, 6, 8, 9, 11].map(|line| (line, Finding::NoFix));
    assert_eq!(entries(&reading), expected);
}

#[test]
fn damaged_lines_cost_only_themselves() {
    use Finding::{BadHeight, BadTime, DamagedLine, NoTime, NullIsland, OutOfRange, Unreadable};
    let rmc = |second: u32| {
        sum(&format!(
            "GPRMC,1504{second:02},A,4730.0{second:02},N,01200.000,E,,,010526,,,A"
        ))
    };
    let with = |from: &str, to: &str| {
        let body = rmc(5).trim().to_owned();
        sum(&body[1..body.len() - 3].replace(from, to))
    };
    for (damaged, finding) in [
        (rmc(5).replace("4730", "4731"), DamagedLine),
        (rmc(5).replace('*', ""), DamagedLine),
        (rmc(5)[..40].to_owned() + "\n", DamagedLine),
        (rmc(5).trim().to_owned() + "0\n", DamagedLine),
        ("15:04:05 ".to_owned() + &rmc(5), DamagedLine),
        (rmc(5).trim().to_owned() + &rmc(6), DamagedLine),
        ("$\n".to_owned(), DamagedLine),
        ("\\s:broken\n".to_owned(), DamagedLine),
        (with("4730.005", "4760.005"), OutOfRange),
        (with("4730.005", "9130.005"), OutOfRange),
        (with("4730.005", "30.005"), Unreadable),
        (with("4730.005", ""), Unreadable),
        (with(",N,", ",,"), Unreadable),
        (
            with("4730.005,N,01200.000", "0000.000,N,00000.000"),
            NullIsland,
        ),
        (with("150405", "256405"), BadTime),
        (with("150405", ""), NoTime),
        (with("010526", "310226"), BadTime),
        (
            sum("GPGGA,150405,4730.005,N,01200.000,E,1,08,0.9,984.3,f,,,,"),
            BadHeight,
        ),
    ] {
        let log = rmc(4) + &damaged + &rmc(7);
        let reading = reading(&log).unwrap_or_else(|error| panic!("{damaged}: {error}"));
        assert_eq!(entries(&reading), [(2, finding)], "{damaged}");
        let kept = reading.segments.iter().flatten().count();
        assert_eq!(kept, if finding == BadHeight { 3 } else { 2 }, "{damaged}");
    }
}

/// A log none of whose sentences has a check sum is read.
#[test]
fn check_sums_may_be_left_out_throughout() {
    let log = "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W\n\
               $GPRMC,123520,A,4807.038,N,01131.010,E,022.4,084.4,230394,003.1,W\n";
    let reading = reading(log).unwrap();
    assert_eq!(fixes(&reading).len(), 2);
    assert!(reading.ledger.entries.is_empty());
}

#[test]
fn logs_without_date_or_position_are_refused() {
    let gga = sum("GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,");
    for (log, line, problem) in [
        (gga.clone(), Some(1), "the times have no date"),
        (
            sum("GPZDA,123519,32,13,2004,,") + &gga,
            Some(2),
            "the times have no date",
        ),
        (
            "12:35:19 ".to_owned() + &gga,
            Some(1),
            "no sentence can be read, from this line on",
        ),
        (sum("GPGSV,1,1,00"), None, "none with a position"),
        (
            sum("GPRMC,123519,V,,,,,,,230394,,,N"),
            None,
            "none of the 1 sentences",
        ),
    ] {
        let error = reading(&log).unwrap_err();
        assert_eq!(error.line, line, "{log}");
        assert!(error.problem.contains(problem), "{error}");
        assert!(!error.hint.is_empty());
    }
}
