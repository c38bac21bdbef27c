//! Search files that `refly` cannot use.

use crate::refly_refusals::{GROUND, debriefed, refly};
use crate::refusals::refused;
use crate::support::{Folder, Run};

fn with_search(folder: &Folder, text: &str) -> Run {
    folder.put("search.toml", text);
    refly(folder, &["done/Teal 4", "--search", "search.toml"])
}

#[test]
fn search_files_that_cannot_be_used() {
    let folder = debriefed();
    let sub_area =
        |name: &str, more: &str| format!("[[sub_areas]]\nname = \"{name}\"\n{more}{GROUND}");
    let two = |first: &str, second: &str| {
        let second = sub_area("B", second).replace("47.05", "47.1");
        format!("search = \"N\"\n{}{second}", sub_area("A", first))
    };
    let whole = format!("search = \"N\"\n{}", sub_area("A", ""));
    for (text, line, problem, hint) in [
        (String::new(), None, "missing key `search`", "search = "),
        ("search = \"N".into(), Some(1), "", ""),
        (
            "search = \"N\"\nflights = 3\n".into(),
            Some(2),
            "unknown key",
            "",
        ),
        (
            "search = \"N\"\nbasis = [47, 12]\n".into(),
            Some(2),
            "unknown key",
            "base",
        ),
        (
            "search = \"N\"\ntarget_pod = 80\n".into(),
            Some(2),
            "`target_pod`",
            "",
        ),
        (
            "search = \"N\"\nbase = [97, 12]\n".into(),
            Some(2),
            "`base`",
            "",
        ),
        (
            "search = \"N\"\nground_speed = \"90\"\n".into(),
            Some(2),
            "`ground_speed`",
            "kt",
        ),
        (
            "search = \"N\"\nflight_time = \"0 min\"\n".into(),
            Some(2),
            "`flight_time`",
            "",
        ),
        ("search = \"../N\"\n".into(), Some(1), "`search`", ""),
        (
            "search = \"N\"\nsub_areas = 3\n".into(),
            Some(2),
            "`sub_areas`",
            "[[sub_areas]]",
        ),
        (
            whole.replace("name", "nmae"),
            Some(3),
            "unknown key",
            "name",
        ),
        (whole.replace("name = \"A\"\n", ""), Some(2), "name", ""),
        (
            whole.replace("47.25, 12.7", "97.25, 12.7"),
            Some(4),
            "corners",
            "",
        ),
        (whole.replace(GROUND, "file = \"none.kml\"\n"), None, "", ""),
        (two("poc = 1.5\n", ""), Some(4), "must be from 0 to 1", ""),
        (two("poc = -0.1\n", ""), Some(4), "must be from 0 to 1", ""),
        (
            two("poc = 0.7\n", "poc = 0.4\n"),
            Some(8),
            "must leave the sum at 1 or less: those before it have 0.700, found \"0.4\"",
            "correct",
        ),
        (
            two("poc = 0\n", "poc = 0\n"),
            Some(8),
            "must be above 0 in one sub-area at least",
            "correct",
        ),
        (
            two("", "").replace("\"B\"", "\"A\""),
            Some(6),
            "is that of a sub-area before it",
            "",
        ),
        (
            format!("{whole}{}", sub_area("B", "")),
            Some(7),
            "sub-area \"B\" lies wholly within those named before it",
            "correct the [[sub_areas]]",
        ),
        (
            whole.replace(
                "[47.05, 12.7], [47.25, 12.7]",
                "[47.25, 12.7], [47.05, 12.7]",
            ),
            Some(4),
            "sub-area \"A\": the corners do not go round the area",
            "correct the [[sub_areas]]",
        ),
    ] {
        let run = with_search(&folder, &text);
        let file = if text.contains("none.kml") {
            "none.kml"
        } else {
            "search.toml"
        };
        refused(&folder, &run, file, line, problem, hint);
    }
    let run = refly(&folder, &["done/Teal 4", "--search", "none.toml"]);
    refused(
        &folder,
        &run,
        "none.toml",
        None,
        "cannot be read",
        "name a search file",
    );
    folder.put("search.toml", b"search = \"N\xff\"\n");
    let run = refly(&folder, &["done/Teal 4", "--search", "search.toml"]);
    refused(&folder, &run, "search.toml", Some(1), "not UTF-8", "");
}

#[test]
fn sub_areas_that_overlap_are_told() {
    let folder = debriefed();
    let second = GROUND.replace("12.4]", "12.55]").replace("12.7]", "12.8]");
    let text = format!(
        "search = \"N\"\n[[sub_areas]]\nname = \"A\"\n{GROUND}[[sub_areas]]\nname = \"B\"\n{second}"
    );
    let run = with_search(&folder, &text);
    assert_eq!(run.code, 0, "{}", run.err);
    // The east of A, half of it; B is 5/6 as wide as A, so 3/5 of B lies in both.
    let remark = "Sub-areas overlap by up to 60 %; ground in several counts to the first of them.";
    let search = folder.json("out/N/search.json");
    let remarks = search["remarks"].as_array().unwrap();
    assert!(remarks.iter().any(|r| r == remark), "{remarks:?}");
    // Side by side they do not.
    let second = GROUND.replace("12.7]", "12.9]").replace("12.4]", "12.7]");
    let text = format!(
        "search = \"N\"\n[[sub_areas]]\nname = \"A\"\n{GROUND}[[sub_areas]]\nname = \"B\"\n{second}"
    );
    let run = with_search(&folder, &text);
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(!folder.text("out/N/search.json").contains("overlap"));
}
