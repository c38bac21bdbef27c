//! Lines of KML with one span of time (07-147r2 and 12-007r2, `LineString`, `coordinates`, `TimeSpan`; clauses from
//! memory), read because that was asked for. Their times are made up, so what they must be is by definition: shares
//! of the span, as the distances along the line are shares of its length.

use crate::support::{entries, file, fixes, reading, said};
use crate::written::archive;
use chrono::{DateTime, TimeDelta};
use geographiclib_rs::{Geodesic, InverseGeodesic};
use overflown::input::InputError;
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::gather::{Wanted, gather};
use overflown::track::read::{ReadSettings, read};
use overflown::track::{Finding, HeightKind, LocalTime, Reading};
use proptest::prelude::*;

const SPAN: &str =
    "<TimeSpan><begin>2026-05-01T15:00:00Z</begin><end>2026-05-01T15:33:20Z</end></TimeSpan>";

fn spread(content: impl AsRef<[u8]>) -> Result<Reading, InputError> {
    let settings = ReadSettings {
        spread_times: true,
        ..ReadSettings::default()
    };
    read(&file(content).path, settings)
}

fn placemark(inside: &str) -> String {
    format!("<Placemark><name>Mist</name>\n{inside}\n</Placemark>\n")
}

fn kml(inside: &str) -> String {
    format!("<kml><Document>\n{inside}</Document></kml>\n")
}

fn line(coordinates: &str) -> String {
    format!("<LineString><coordinates>{coordinates}</coordinates></LineString>")
}

/// The equator is a geodesic, and distances on it go as the longitudes: of 2000 s, a tenth, four tenths and all.
/// 1° of it is 6,378,137 m × π/180 = 111,319.49 m = 60.108 NM, which in 2000 s is 108.19 kt.
#[test]
fn times_are_shares_of_the_span_as_distances_of_the_line() {
    let log = kml(&placemark(&format!(
        "{SPAN}<LineString><altitudeMode>absolute</altitudeMode><coordinates>\n10,0,300 10.1,0,310\r\n\
         10.4,0\t10.4,0,320\n\n 11,0,-3000 </coordinates></LineString>"
    )));
    let reading = spread(&log).unwrap();
    let expected = [
        (4, "2026-05-01T15:00:00Z", 10.0, Some(300.0)),
        (4, "2026-05-01T15:03:20Z", 10.1, Some(310.0)),
        // Without a third number no altitude was recorded.
        (5, "2026-05-01T15:13:20Z", 10.4, None),
        (7, "2026-05-01T15:33:20Z", 11.0, None),
    ]
    .map(|(line, time, lon, height)| (line, time.to_owned(), 0.0, lon, height));
    assert_eq!(fixes(&reading), expected);
    assert_eq!(
        entries(&reading),
        [
            (7, Finding::BadHeight, "11,0,-3000"),
            (
                3,
                Finding::SpreadTimes,
                "4 positions over 60.1 NM from 2026-05-01T15:00:00Z to 2026-05-01T15:33:20Z, as if at 108 kt \
                 throughout, a repeated position taken once"
            ),
        ]
    );
    assert_eq!(reading.name.as_deref(), Some("Mist, times not recorded"));
    assert_eq!(reading.height_kind, HeightKind::MeanSeaLevel);
    assert!(reading.taken.spread_times);
    // In an archive, and with the span behind the line.
    let packed = archive(&[("doc.kml", log.as_bytes())]);
    assert_eq!(fixes(&spread(packed).unwrap()), expected);
    let behind = log
        .replace(SPAN, "")
        .replace("</LineString>", &format!("</LineString>{SPAN}"));
    assert_eq!(fixes(&spread(behind).unwrap()), expected);
    // Altitudes in no mode are above the ground, and none.
    let grounded = spread(log.replace("absolute", "clampToGround")).unwrap();
    assert!(fixes(&grounded).iter().all(|fix| fix.4.is_none()));
    assert_eq!(
        entries(&grounded)[0],
        (3, Finding::BadHeight, "altitudeMode clampToGround")
    );
}

/// On a meridian the shares are those of its arcs, a(1 - e²)∫(1 - e² sin²φ)^(-3/2)dφ, here by Simpson's rule (WGS 84:
/// a = 6,378,137 m, f = 1/298.257223563). Over the antimeridian the short way is flown.
#[test]
fn distances_are_those_of_the_ellipsoid() {
    let arc_m = |from: f64, to: f64| {
        let f = 1.0 / 298.257_223_563;
        let e2 = f * (2.0 - f);
        let curvature = |deg: f64| {
            let sin = deg.to_radians().sin();
            6_378_137.0 * (1.0 - e2) * (1.0 - e2 * sin * sin).powf(-1.5)
        };
        let (steps, mut sum) = (100, 0.0);
        let at = |step: i32| from + (to - from) * f64::from(step) / f64::from(2 * steps);
        for step in 0..steps {
            sum += curvature(at(2 * step))
                + 4.0 * curvature(at(2 * step + 1))
                + curvature(at(2 * step + 2));
        }
        sum * (to - from).to_radians() / f64::from(6 * steps)
    };
    let middle_s = 2000.0 * arc_m(46.0, 46.5) / arc_m(46.0, 48.0);
    let reading = spread(kml(&placemark(
        &(SPAN.to_owned() + &line("11,46 11,46.5 11,48")),
    )))
    .unwrap();
    let times: Vec<_> = reading.segments[0].iter().map(|fix| fix.time).collect();
    let off_s = (times[1] - times[0]).as_seconds_f64() - middle_s;
    assert!(off_s.abs() < 1e-6, "{off_s}");
    let across = spread(kml(&placemark(
        &(SPAN.to_owned() + &line("179.8,0 -179.8,0 -179.2,0")),
    )))
    .unwrap();
    assert_eq!(fixes(&across)[1].1, "2026-05-01T15:13:20Z");
}

/// Each placemark with its own span is a track; a line without any time beside them is a drawing, and so is one
/// beside a track in its placemark.
#[test]
fn every_placemark_with_a_line_and_a_span_is_a_track() {
    let second = "<TimeSpan><begin>2026-05-01T18:00:00+02:00</begin><end>2026-05-01T16:10:00</end></TimeSpan>";
    let track = "<Track><when>2026-05-01T17:00:00Z</when><coord>12 1 0</coord></Track>";
    let log = kml(&(placemark(&(SPAN.to_owned() + &line("10,0 11,0")))
        + &placemark(&line("1,1 2,2"))
        + &format!(
            "<Folder>{}</Folder>",
            placemark(&format!(
                "<MultiGeometry>{}</MultiGeometry>{second}",
                line("11,0 11.1,0")
            ))
        )
        + &placemark(&format!(
            "{SPAN}<MultiGeometry>{track}{}</MultiGeometry>",
            line("1,1 2,2")
        ))
        + "<Placemark>\n"
        + &SPAN.replace("T15", "T18")
        + &line("12,0 12.5,0")
        + "</Placemark>"));
    let reading = spread(&log).unwrap();
    let tracks: Vec<_> = reading
        .tracks
        .iter()
        .map(|track| (track.line, track.name.as_deref().unwrap_or(""), track.fixes))
        .collect();
    assert_eq!(
        tracks,
        [
            (3, "Mist, times not recorded", 2),
            (9, "Mist, times not recorded", 2),
            (12, "Mist", 1),
            (15, "times not recorded", 2),
        ]
    );
    let found: Vec<_> = entries(&reading)
        .iter()
        .map(|entry| (entry.0, entry.1))
        .collect();
    assert_eq!(
        found,
        [
            (3, Finding::SpreadTimes),
            (9, Finding::NoZone),
            (9, Finding::SpreadTimes),
            (15, Finding::SpreadTimes)
        ]
    );
    let times: Vec<String> = fixes(&reading).into_iter().map(|fix| fix.1).collect();
    assert_eq!(
        times[2..4],
        ["2026-05-01T16:00:00Z", "2026-05-01T16:10:00Z"]
    );
    // Without being asked for, the lines are no part of it.
    assert_eq!(fixes(&super::support::reading(&log).unwrap()).len(), 1);
    let local = ReadSettings {
        spread_times: true,
        local: Some(LocalTime {
            offset_s: -600,
            despite_utc: false,
        }),
        ..ReadSettings::default()
    };
    let read = read(&file(&log).path, local).unwrap();
    assert_eq!(fixes(&read)[3].1, "2026-05-01T16:20:00Z");
    assert_eq!(
        entries(&read)[1],
        (9, Finding::LocalTime, "2026-05-01T16:10:00")
    );
}

/// A strict reading has no times that were made up.
#[test]
fn strict_refuses_times_made_up() {
    let log = kml(&placemark(&(SPAN.to_owned() + &line("10,0 10.5,0 11,0"))));
    let reading = gather(vec![spread(&log).unwrap()], &Wanted::default()).unwrap();
    let strict = CleanSettings {
        strict: true,
        ..CleanSettings::default()
    };
    let error = clean(reading.clone(), &strict).unwrap_err();
    assert_eq!(
        error.to_string(),
        "log, line 3: a point cannot be used as it stands, line without recorded times (3 positions over 60.1 NM \
         from 2026-05-01T15:00:00Z to 2026-05-01T15:33:20Z, as if at 108 kt throughout)"
    );
    assert_eq!(
        clean(reading, &CleanSettings::default())
            .unwrap()
            .fixes
            .len(),
        3
    );
}

#[test]
fn lines_and_spans_that_do_not_tell_are_refused() {
    let good = line("10,0 11,0");
    let span = |begin: &str, end: &str| format!("<TimeSpan>\n{begin}\n{end}</TimeSpan>");
    let (begin, end) = (
        "<begin>2026-05-01T15:00:00Z</begin>",
        "<end>2026-05-01T16:00:00Z</end>",
    );
    let stamp = "<TimeStamp><when>2026-05-01T15:00:00Z</when></TimeStamp>";
    let whole = "both ends are needed";
    let longer = "the end must be later";
    let without = "the distances along the line are not known";
    for (inside, problem, hint) in [
        (
            span("", end) + &good,
            "line 3: a <TimeSpan> has no <begin>, so when the line was flown is open",
            whole,
        ),
        (
            span(begin, "") + &good,
            "line 3: a <TimeSpan> has no <end>, so when the line was flown is open",
            whole,
        ),
        (
            span("<begin/>", end) + &good,
            "line 4: the <begin> of a <TimeSpan> is empty",
            whole,
        ),
        (
            span(begin, "<end>2026-05-01</end>") + &good,
            "line 5: the <end> of a <TimeSpan> is no date with a time of day (2026-05-01)",
            whole,
        ),
        (
            span("<begin>2026</begin>", end) + &good,
            "line 4: the <begin> of a <TimeSpan> is no date with a time of day (2026)",
            whole,
        ),
        (
            span("<begin>2026-05-01T25:00:00Z</begin>", end) + &good,
            "line 4: the <begin> of a <TimeSpan> is no time (2026-05-01T25:00:00Z)",
            whole,
        ),
        (
            span(&begin.repeat(2), end) + &good,
            "line 4: the <begin> of a <TimeSpan> is no time (2026-05-01T15:00:00Z|2026-05-01T15:00:00Z)",
            whole,
        ),
        (
            span(begin, "<end>2026-05-01T17:00:00+02:00</end>") + &good,
            "line 3: a <TimeSpan> begins and ends at 2026-05-01T15:00:00Z",
            longer,
        ),
        (
            span(begin, "<end>2026-05-01T16:00:00+02:00</end>") + &good,
            "line 3: a <TimeSpan> ends at 2026-05-01T14:00:00Z, before it begins at 2026-05-01T15:00:00Z",
            longer,
        ),
        (
            format!("{SPAN}\n{}", line("")),
            "line 4: a line whose times are to be spread has no position",
            "from one place to another",
        ),
        (
            format!("{SPAN}\n<LineString/>"),
            "line 4: a line whose times are to be spread has no position",
            "from one place to another",
        ),
        (
            format!("{SPAN}\n{}", line("10,0")),
            "line 4: a line whose times are to be spread has one position alone",
            "from one place to another",
        ),
        (
            format!("{SPAN}\n{}", line("10,0 10,0\n10.0,0.0,5")),
            "line 4: a line whose times are to be spread has no length: all its positions are the same",
            "from one place to another",
        ),
        (
            format!("{SPAN}\n{}", line("10,0\n10.5 11,0")),
            "line 5: a position of a line whose times are to be spread cannot be used, no readable position (10.5)",
            without,
        ),
        (
            format!("{SPAN}\n{}", line("10,0\n10, 0 11,0")),
            "line 5: a position of a line whose times are to be spread cannot be used, no readable position (10,)",
            without,
        ),
        (
            format!("{SPAN}\n{}", line("10,0 11,1,1,1")),
            "line 4: a position of a line whose times are to be spread cannot be used, no readable position \
             (11,1,1,1)",
            without,
        ),
        (
            format!("{SPAN}\n{}", line("10,0 11,91")),
            "line 4: a position of a line whose times are to be spread cannot be used, position out of range (11,91)",
            without,
        ),
        (
            format!("{SPAN}\n{}", line("10,0 0,0 11,0")),
            "line 4: a position of a line whose times are to be spread cannot be used, exactly 0°N 0°E (0,0)",
            without,
        ),
        (
            format!(
                "{SPAN}\n{}",
                good.replace(
                    "</LineString>",
                    "<coordinates>1,2</coordinates></LineString>"
                )
            ),
            "line 4: a position of a line whose times are to be spread cannot be used, no readable position \
             (a second <coordinates>)",
            without,
        ),
        (
            format!("{SPAN}<MultiGeometry>{good}\n{good}</MultiGeometry>"),
            "line 4: 2 lines have one span of time together, the last of them here",
            "a <TimeSpan> of its own",
        ),
        (
            format!("{SPAN}{good}\n{SPAN}"),
            "line 4: a line has several times, and it cannot be told which of them is meant",
            "one <TimeSpan> alone",
        ),
        (
            format!("{stamp}\n{SPAN}{good}"),
            "line 4: a line has several times, and it cannot be told which of them is meant",
            "one <TimeSpan> alone",
        ),
        (
            format!("\n{stamp}{good}"),
            "line 4: a line has one moment (<TimeStamp>) instead of a span of time",
            "of a <TimeSpan> alone",
        ),
        (
            format!("{SPAN}\n{}", line("10,0 80,0")),
            "line 4: a line 4207.5 NM long with a <TimeSpan> from 2026-05-01T15:00:00Z to 2026-05-01T15:33:20Z would \
             have been flown at more than 1000 kt",
            "the span of time in which it was flown",
        ),
    ] {
        let error = spread(kml(&placemark(&inside))).expect_err(&inside);
        assert_eq!(said(&error), format!("log, {problem}"), "for {inside}");
        assert!(error.hint.contains(hint), "for {inside}: {}", error.hint);
    }
    // A drawn line alone, and a span of something else.
    let problem = "log: the file holds drawn lines, not a recorded track";
    for inside in [
        placemark(&good),
        placemark(&good) + &placemark(&format!("{SPAN}<Point/>")),
    ] {
        for asked in [spread(kml(&inside)), reading(kml(&inside))] {
            assert_eq!(said(&asked.unwrap_err()), problem);
        }
    }
}

/// Of a line that breaks off nobody knows how long it was.
#[test]
fn a_line_that_breaks_off_is_left_out() {
    let first = placemark(&(SPAN.to_owned() + &line("10,0 11,0")));
    let log = kml(&(first + &placemark(&(SPAN.replace("T15", "T16") + &line("11,0 12,0 13,0")))));
    let cut = &log[..log.rfind(" 13,0").unwrap()];
    let error = spread(cut).unwrap_err();
    assert_eq!(
        said(&error),
        "log, line 6: the file ends before its elements are closed; 2 good points stand before"
    );
    let salvaging = ReadSettings {
        salvage: true,
        spread_times: true,
        ..ReadSettings::default()
    };
    let reading = read(&file(cut).path, salvaging).unwrap();
    assert_eq!(fixes(&reading).len(), 2);
    assert_eq!(
        entries(&reading)[1],
        (
            6,
            Finding::Truncated,
            "the file ends before its elements are closed; a line with a span of time breaks off with it and is \
             left out"
        )
    );
}

/// Longer than what is kept of the text of other elements (64 KiB), and cut by comments and references.
#[test]
fn long_lines_are_read_whole() {
    let positions: Vec<String> = (0..20_000)
        .map(|i| format!("{:.5},0,1", 10.0 + f64::from(i) / 20_000.0))
        .collect();
    let text = positions.join("\n");
    assert!(text.len() > 3 << 16);
    let log = kml(&placemark(&(SPAN.to_owned() + &line(&text))));
    let long = fixes(&spread(&log).unwrap());
    assert_eq!(long.len(), 20_000);
    for (index, fix) in (0..).zip(&long) {
        assert_eq!(fix.0, 3 + index);
    }
    let cut = text
        .replacen("12", "1<!--\n-->&#50;", 1)
        .replacen("10.5", "<![CDATA[10.5]]>", 1);
    let cut = fixes(&spread(kml(&placemark(&(SPAN.to_owned() + &line(&cut))))).unwrap());
    let places = |fixes: &[(u32, String, f64, f64, Option<f64>)]| -> Vec<(String, f64)> {
        fixes.iter().map(|fix| (fix.1.clone(), fix.3)).collect()
    };
    assert_eq!(places(&cut), places(&long));
    assert_eq!(cut.last().unwrap().0, long.last().unwrap().0 + 1);
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(64)
    })]

    /// Whatever the line: from the beginning of the span to its end, never back, and every step at the ground speed
    /// of the whole, by the distances of geographiclib.
    #[test]
    fn one_ground_speed_from_end_to_end(
        places in prop::collection::vec((10.0..11.0, 46.0..47.0), 2..40),
        span_s in 100_000_i64..1_000_000,
    ) {
        let coordinates: Vec<String> = places.iter().map(|(lon, lat)| format!("{lon},{lat}")).collect();
        let begin = DateTime::from_timestamp(1_777_647_600, 0).unwrap();
        let end = begin + TimeDelta::seconds(span_s);
        let span = format!(
            "<TimeSpan><begin>{}</begin><end>{}</end></TimeSpan>",
            begin.to_rfc3339(),
            end.to_rfc3339()
        );
        let reading = spread(kml(&placemark(&(span + &line(&coordinates.join(" ")))))).unwrap();
        let fixes = &reading.segments[0];
        prop_assert_eq!(fixes.len(), places.len());
        prop_assert_eq!((fixes[0].time, fixes[fixes.len() - 1].time), (begin, end));
        let distance_m = |a: (f64, f64), b: (f64, f64)| -> f64 {
            Geodesic::wgs84().inverse(a.1, a.0, b.1, b.0)
        };
        let steps: Vec<f64> = places.windows(2).map(|pair| distance_m(pair[0], pair[1])).collect();
        let mps = steps.iter().sum::<f64>() / span_s as f64;
        for (pair, step_m) in fixes.windows(2).zip(steps) {
            let step_s = (pair[1].time - pair[0].time).as_seconds_f64();
            prop_assert!(step_s >= 0.0);
            // Times are kept to the microsecond.
            prop_assert!((step_s - step_m / mps).abs() < 2e-6, "{} s for {} m at {} m/s", step_s, step_m, mps);
        }
    }
}
