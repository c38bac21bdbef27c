//! Patterns that cannot be: refused with the reason and the nearest that would do.

use crate::refusals::{folder_for_taskings, tasking_refused, with_area};
use crate::support::TASKING;

/// The tasking with another section [pattern]; its first key, `kind`, stands in line 5.
fn with_pattern(pattern: &str) -> String {
    let (start, end) = (
        TASKING.find("kind =").unwrap(),
        TASKING.find("[flight]").unwrap(),
    );
    format!("{}{pattern}\n\n{}", &TASKING[..start], &TASKING[end..])
}

/// Five places: in turn some 6 NM north, 3.4 NM back south-east, 6 NM east.
const LINE: &str = "line = [[47.0, 12.0], [47.1, 12.0], [47.05, 12.04], [47.05, 12.2]]";

fn track_line(kind: &str, rest: &str) -> String {
    with_pattern(&format!("kind = \"track line {kind}\"\n{LINE}\n{rest}"))
}

fn contour(bands: &str) -> String {
    with_pattern(&format!(
        "kind = \"contour\"\nspacing = \"0.5 NM\"\n{bands}"
    ))
}

fn band(altitude: &str) -> String {
    format!("[[pattern.bands]]\naltitude = \"{altitude}\"\nline = [[47.0, 12.0], [47.1, 12.0]]\n")
}

#[test]
fn track_lines_that_cannot_be() {
    let folder = folder_for_taskings();
    let short = LINE.replace("[47.05, 12.04]", "[47.1, 12.005]");
    for (content, line, problem, hint) in [
        (
            track_line(
                "return",
                "spacing = \"0.5 NM\"\nturn = \"left\"\npasses = 3",
            ),
            9,
            "`passes` in [pattern] must be even, so that the pattern ends where it began; found 3",
            "the nearest that would do: 2 or 4",
        ),
        (
            track_line(
                "non-return",
                "spacing = \"0.5 NM\"\nturn = \"left\"\npasses = 2",
            ),
            9,
            "must be odd, so that the pattern ends at the other end; found 2",
            "the nearest that would do: 1 or 3",
        ),
        (
            track_line("return", "spacing = \"0.5 NM\""),
            4,
            "missing key `turn`",
            "turn = \"right\"",
        ),
        (
            track_line("return", "spacing = \"3 NM\"\nturn = \"left\""),
            6,
            "turns by 151° at place 2",
            "give a `spacing` of at most \"1.03 NM\", or leave place 2 out",
        ),
        (
            track_line(
                "return",
                "spacing = \"0.4 NM\"\nturn = \"left\"\npasses = 6",
            ),
            6,
            "the leg from place 2 to place 3 has no room",
            "or `passes = 4`, or leave place 2 out",
        ),
        (
            with_pattern(&format!(
                "kind = \"track line non-return\"\n{short}\nspacing = \"0.5 NM\""
            )),
            6,
            "`line`: from place 2 to place 3 it is 0.20 NM, shorter than the `spacing` of 0.50 NM",
            "leave place 3 out, or give a `spacing` of at most \"0.20 NM\"",
        ),
        (
            with_pattern(
                "kind = \"track line return\"\nline = [[47.0, 12.0], [47.0, 12.0]]\n\
                 spacing = \"0.5 NM\"\nturn = \"left\"",
            ),
            6,
            "two different places",
            "`line`",
        ),
        (
            track_line("return", "spacing = \"0.5 NM\"\nturn = \"left\"\nlegs = 3"),
            9,
            "`legs` in [pattern] does not belong to a pattern of this kind",
            "`legs`",
        ),
    ] {
        tasking_refused(&folder, content, Some(line), problem, hint);
    }
}

#[test]
fn contour_searches_that_cannot_be() {
    let folder = folder_for_taskings();
    let three = |altitudes: [&str; 3]| contour(&altitudes.map(band).concat());
    for (content, line, problem, hint) in [
        (
            three(["6500 ft", "5500 ft", "6000 ft"]),
            14,
            "`altitude` in [[pattern.bands]]: 6000 ft is not below the 5500 ft of the band before",
            "in the order 6500 ft, 6000 ft, 5500 ft",
        ),
        (
            three(["6500 ft", "6500 ft", "6000 ft"]),
            11,
            "6500 ft is not below the 6500 ft",
            "6000 ft",
        ),
        (contour(""), 4, "missing key `bands`", "altitude = "),
        (
            contour("bands = []"),
            7,
            "`bands` in [pattern] cannot be \"[]\"",
            "one or more tables [[pattern.bands]]",
        ),
        (
            contour(&band("6500 ft").replace("altitude", "altitud")),
            8,
            "unknown key \"altitud\" in [[pattern.bands]]",
            "did you mean `altitude`",
        ),
        (
            contour(&band("6500 ft").replace("[47.1, 12.0]", "[47.001, 12.0]")),
            9,
            "0.06 NM, shorter than the `spacing` of 0.50 NM",
            "give a longer line, or give a `spacing` of at most \"111 m\"",
        ),
    ] {
        tasking_refused(&folder, content, Some(line), problem, hint);
    }
}

#[test]
fn legs_and_circles_that_cannot_be() {
    let folder = folder_for_taskings();
    let sector = |radius: &str| {
        with_pattern(&format!(
            "kind = \"sector\"\ndatum = [47.1, 12.5]\nfirst_course = \"020 T\"\nturn = \"right\"\n\
             radius = \"{radius}\""
        ))
    };
    for (content, line, problem, hint) in [
        (
            TASKING.replace("\"4 NM\"", "\"0.4 NM\""),
            10,
            "`leg_length` in [pattern] is 0.40 NM, shorter than the `spacing` of 0.50 NM",
            "a `leg_length` of at least \"0.50 NM\", or a `spacing` of at most \"0.40 NM\"",
        ),
        (
            TASKING.replace("\"4 NM\"\nlegs = 5", "\"0.4 NM\"\nlegs = 1"),
            10,
            "shorter than the `spacing`",
            "at least one spacing long",
        ),
        (
            TASKING.replace("legs = 5", "legs = 1\ninterleave = true"),
            12,
            "nothing midway between the legs of a set of one",
            "`legs = 2` or more",
        ),
        (
            sector("0 NM"),
            9,
            "must be from 100 m to 100 NM, found 0.00 NM",
            "the smallest is radius = \"100 m\"",
        ),
        (
            with_pattern(
                "kind = \"expanding square\"\ndatum = [47.1, 12.5]\nfirst_course = \"020 T\"\n\
                 turn = \"right\"\nspacing = \"2 NM\"\nsize = \"1 NM\"",
            ),
            10,
            "must be more than `spacing`",
            "`size`",
        ),
    ] {
        tasking_refused(&folder, content, Some(line), problem, hint);
    }
    let narrow = TASKING
        .replace("start = [47.1, 12.5]\n", "")
        .replace("020 M", "000 T")
        .replace("leg_length = \"4 NM\"\nlegs = 5\n", "");
    let box_of_a_quarter_mile =
        "[area]\nsouth = 47.0\nnorth = 47.004\nwest = 12.5\neast = 12.6\n\n";
    tasking_refused(
        &folder,
        narrow.replace("[pattern]", &format!("{box_of_a_quarter_mile}[pattern]")),
        Some(11),
        "no leg of at least one spacing (0.50 NM) fits into the area",
        "give a `spacing` of at most \"0.12 NM\"",
    );
}

#[test]
fn nothing_beyond_85_degrees() {
    let folder = folder_for_taskings();
    let true_course = TASKING.replace("020 M", "000 T");
    tasking_refused(
        &folder,
        true_course.replace("[47.1, 12.5]", "[84.95, 12.5]"),
        Some(5),
        "the pattern reaches 85.02° N; nothing beyond 85° can be laid out",
        "2 NM farther south would do",
    );
    let area = "corners = [[-84.9, 12.0], [-84.9, 14.0], [-85.5, 13.0]]";
    tasking_refused(
        &folder,
        with_area(area).replace("020 M", "000 T"),
        Some(5),
        "the area reaches 85.50° S; nothing beyond 85° can be worked",
        "31 NM farther north would do",
    );
}

#[test]
fn routes_that_are_wrongly_given() {
    let folder = folder_for_taskings();
    let route =
        |source: &str| with_pattern(&format!("kind = \"route\"\nspacing = \"0.5 NM\"\n{source}"));
    let points = "points = [[47.0, 12.0], [47.1, 12.0]]";
    for (content, line, problem, hint) in [
        (route(""), 4, "missing key `file`", "or give `points`"),
        (
            route(&format!("file = \"route.gpx\"\n{points}")),
            8,
            "`points` in [pattern] cannot stand beside `file`",
            "`points`",
        ),
        (
            route(&format!("{points}\nname = \"North\"")),
            8,
            "chooses a line of a `file`",
            "`name`",
        ),
        (
            route("points = [[47.0, 12.0]]"),
            7,
            "two different places",
            "`points`",
        ),
        (route("points = \"47\""), 7, "cannot be", "a list of places"),
    ] {
        tasking_refused(&folder, content, Some(line), problem, hint);
    }
}
