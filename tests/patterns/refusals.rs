//! Taskings that cannot be.

use crate::*;
use overflown::{plan, tasking};
use std::path::Path;

/// What is wrong with a tasking is named with its line and what would be accepted.
#[test]
fn taskings_that_cannot_be_are_refused() {
    for (pattern, from, to, line, problem, hint) in [
        (
            EXPANDING_SQUARE,
            "datum = [46.4000, 11.2000]",
            "",
            3,
            "missing key `datum`",
            "datum = [",
        ),
        (
            EXPANDING_SQUARE,
            "legs = 8",
            "",
            3,
            "missing key `legs`",
            "or give `size`",
        ),
        (
            EXPANDING_SQUARE,
            "legs = 8",
            "legs = 8\nsize = \"8 NM\"",
            11,
            "cannot stand beside `legs`",
            "`size`",
        ),
        (
            EXPANDING_SQUARE,
            "legs = 8",
            "size = \"2 NM\"",
            10,
            "must be more than `spacing`",
            "`size`",
        ),
        (
            EXPANDING_SQUARE,
            "legs = 8",
            "legs = 201",
            10,
            "more than 200 NM",
            "`legs`",
        ),
        (
            EXPANDING_SQUARE,
            "legs = 8",
            "legs = 8\nleg_length = \"2 NM\"",
            11,
            "does not belong to a pattern of this kind",
            "`leg_length`",
        ),
        (
            SECTOR,
            "radius = \"6 NM\"",
            "radius = \"6 NM\"\nspacing = \"3 NM\"",
            10,
            "does not belong to a pattern of this kind",
            "`spacing`",
        ),
        (
            SECTOR,
            "radius = \"6 NM\"",
            "",
            3,
            "missing key `radius`",
            "radius = ",
        ),
        (
            SECTOR,
            "radius = \"6 NM\"",
            "radius = \"101 NM\"",
            9,
            "from 100 m to 100 NM",
            "the largest is radius",
        ),
        (
            SECTOR,
            "radius = \"6 NM\"",
            "radius = \"6 NM\"\nsectors = 8",
            10,
            "must be 6, 10, 14 or 18",
            "`sectors`",
        ),
        (
            SECTOR,
            "radius = \"6 NM\"",
            "radius = \"6 NM\"\nsecond_pass = 1",
            10,
            "cannot be \"1\"",
            "true or false",
        ),
        (
            CREEPING_LINE,
            "start = [46.4000, 11.2000]",
            "datum = [46.4000, 11.2000]",
            6,
            "does not belong to a pattern of this kind",
            "`datum`",
        ),
        (
            CREEPING_LINE,
            "\"creeping line\"",
            "\"creeping\"",
            5,
            "cannot be \"creeping\"",
            "`creeping line`",
        ),
    ] {
        let text = text(&pattern.replace(from, to), WEST);
        let error = tasking::parse(&text, Path::new("tasking.toml")).unwrap_err();
        assert!(error.to_string().contains(problem), "{to}: {error}");
        assert!(error.hint.contains(hint), "{to}: {}", error.hint);
        assert_eq!(error.line, Some(line), "{to}: {error}");
    }
}

/// A pattern that would reach too far is refused when it is laid out.
#[test]
fn a_square_too_large_to_work_is_refused() {
    let text = text(
        &EXPANDING_SQUARE.replace("legs = 8", "size = \"190 NM\""),
        WEST,
    );
    let path = Path::new("tasking.toml");
    let error = plan::lay_out(&tasking::parse(&text, path).unwrap(), path).unwrap_err();
    assert!(error.to_string().contains("at most 120 NM"), "{error}");
    assert!(error.hint.contains("size of the pattern"), "{}", error.hint);
}
