mod factors;

use crate::input::InputError;
use crate::tasking::{DetectionTask, parse};
use std::path::Path;

const DIRECT: &str = "sweep_width = \"0.5 NM\"";
const WATER: &str = "object = \"raft 4-person\"\nover = \"water\"\nsearch_height = \"500 ft\"\n\
                     visibility = \"10 NM\"\nwind = \"20 kt\"\nseas = \"4 ft\"";
const LAND: &str = "object = \"vehicle\"\nover = \"land\"\nsearch_height = \"500 ft\"\n\
                    visibility = \"10 km\"\nterrain = \"hilly\"";
/// Line of the first key of [detection].
const FIRST: u32 = 14;
/// A table of one's own, with the line of every row.
const OWN: &str = "over = \"water\"\ndocument = \"Ours\"\nedition = \"1\"\nstatus = \"read\"\nstep = 0.1\n\
                   visibility_unit = \"NM\"\nvisibility = [1, 2]\n[objects]\n\
                   \"kayak\" = { weather = \"small\", speed = \"power boat under 8 m\" }\n\
                   [[heights]]\nfeet = 500\ntable = \"1\"\n[heights.widths]\n\"kayak\" = [0.3, 0.5]\n\
                   [[heights]]\nfeet = 1000\ntable = \"2\"\n[heights.widths]\n\"kayak\" = [0.2, \"-\"]\n";

fn tasking(keys: &str, path: &Path) -> Result<DetectionTask, InputError> {
    let text = format!(
        "sortie = \"S\"\ndate = 2026-06-14\n[pattern]\nkind = \"parallel sweep\"\n\
         start = [47.0, 12.0]\nfirst_course = \"000 T\"\nturn = \"right\"\nspacing = \"1 NM\"\n\
         leg_length = \"5 NM\"\nlegs = 4\n[flight]\nground_speed = \"150 kt\"\n[detection]\n{keys}\n"
    );
    parse(&text, path).map(|tasking| tasking.detection)
}

fn read(keys: &str) -> Result<DetectionTask, InputError> {
    tasking(keys, Path::new("tasking.toml"))
}

#[track_caller]
fn refused(keys: &str, line: u32, problem: &str, hint: &str) {
    let error = read(keys).unwrap_err();
    let told = format!("{error}; {}", error.hint);
    assert_eq!(error.line, Some(line), "{told}");
    assert!(error.problem.contains(problem), "{told}");
    assert!(error.hint.contains(hint), "{told}");
}

#[test]
fn both_ways_give_a_width() {
    let given = read(DIRECT).unwrap();
    assert_eq!((given.sweep_width.nm(), given.search_height), (0.5, None));
    assert_eq!(given.sweep_width_basis.low, None);
    let spread = read("sweep_width = \"0.5 NM\"\nsweep_width_spread = \"20 %\"").unwrap();
    assert!((spread.sweep_width_basis.high.unwrap().nm() - 0.6).abs() < 1e-12);
    let water = read(WATER).unwrap();
    assert!((water.sweep_width.nm() - 0.99).abs() < 1e-9);
    assert_eq!(water.search_object.as_deref(), Some("raft 4-person"));
    assert!(water.inverse_cube().height().is_some());
    assert!((read(LAND).unwrap().sweep_width.nm() - 0.91).abs() < 1e-9);
}

#[test]
fn what_is_missing_or_does_not_belong_is_named() {
    let section = FIRST - 1;
    refused("", section, "missing key `sweep_width`", "`object`");
    refused(
        &format!("{DIRECT}\n{WATER}"),
        FIRST + 1,
        "as well",
        "not both",
    );
    for key in [
        "object",
        "over",
        "search_height",
        "visibility",
        "wind",
        "seas",
    ] {
        let kept: Vec<&str> = WATER
            .lines()
            .filter(|line| !line.starts_with(key))
            .collect();
        let problem = format!("missing key `{key}`");
        refused(&kept.join("\n"), section, &problem, &format!("{key} = "));
    }
    let no_terrain = LAND.replace("\nterrain = \"hilly\"", "");
    refused(&no_terrain, section, "missing key `terrain`", "terrain = ");
    refused(
        &format!("{LAND}\nwind = \"5 kt\""),
        FIRST + 5,
        "`wind` goes with over = \"water\"",
        "`over`",
    );
    refused(
        &format!("{WATER}\nterrain = \"open\""),
        FIRST + 6,
        "`terrain` goes with",
        "`over`",
    );
    refused(
        &format!("{LAND}\nsweep_width_spread = \"5 %\""),
        FIRST + 5,
        "goes with `sweep_width`",
        "out",
    );
    refused(
        &LAND.replace("hilly", "steep"),
        FIRST + 4,
        "no terrain \"steep\"",
        "\"mountainous\"",
    );
    refused(
        &WATER.replace("500 ft", "300 ft"),
        FIRST + 2,
        "no height of 300 ft",
        "500 to 2000 ft",
    );
    refused(
        &WATER.replace("10 NM", "25 NM"),
        FIRST + 3,
        "no visibility of 25 NM",
        "1 to 20 NM",
    );
    refused(
        &WATER.replace("20 kt", "-1 kt"),
        FIRST + 4,
        "less than zero",
        "`wind`",
    );
    refused(
        &format!("{DIRECT}\nsearch_height = \"20000 ft\""),
        FIRST + 1,
        "10,000 ft",
        "`search_height`",
    );
    refused(
        &format!("{DIRECT}\nsweep_width_spread = \"100 %\""),
        FIRST + 1,
        "less than 100 %",
        "",
    );
    refused(
        &format!("{DIRECT}\nsweep_width_spread = 0.2"),
        FIRST + 1,
        "no unit",
        "\"20 %\"",
    );
}

#[test]
fn a_table_of_ones_own() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tasking.toml");
    let keys = WATER
        .replace("raft 4-person", "Kayak")
        .replace("10 NM", "2 NM");
    let keys = format!("{keys}\nsweep_width_table = \"own.toml\"");
    let with = |table: &str| {
        std::fs::write(folder.path().join("own.toml"), table).unwrap();
        tasking(&keys, &path)
    };
    let task = with(OWN).unwrap();
    assert!((task.sweep_width.nm() - 0.5 * 0.5 * 1.1).abs() < 1e-9);
    assert_eq!(task.sweep_width_tables[0].name, "own.toml");
    assert!(task.sweep_width_basis.source.contains("Ours, 1, Table 1"));
    for (from, to, line, problem, hint) in [
        (
            "[1, 2]",
            "[2, 1]",
            7,
            "visibilities do not rise at 1",
            "greater",
        ),
        (
            "= 1000",
            "= 400",
            16,
            "heights do not rise at 400",
            "greater",
        ),
        (
            "[0.3, 0.5]",
            "[0.3]",
            14,
            "1 widths for 2 visibilities",
            "\"-\"",
        ),
        ("[0.3, 0.5]", "[0.3, -0.5]", 14, "negative", "0 or more"),
        ("[0.3, 0.5]", "[0.3, \"x\"]", 14, "a width in NM", "form"),
        (
            "\"kayak\" = [0.2",
            "\"canoe\" = [0.2",
            19,
            "not among [objects]",
            "listed",
        ),
        (
            "\"kayak\" = [0.2, \"-\"]",
            "",
            18,
            "lack \"kayak\"",
            "every height",
        ),
        (
            "power boat under 8 m",
            "boat",
            9,
            "cannot be \"boat\"",
            "\"ship over 27 m\"",
        ),
        (
            "weather = \"small\", ",
            "",
            9,
            "takes `weather` and `speed`",
            "\"small\"",
        ),
        ("step = 0.1", "step = -1", 5, "rounding step", "0.1"),
        ("\"read\"", "\"known\"", 4, "known", "form"),
        ("edition", "editoin", 3, "editoin", "form"),
        ("over = ", "over : ", 1, "", "form"),
    ] {
        let error = with(&OWN.replacen(from, to, 1)).unwrap_err();
        let told = format!("{error}; {}", error.hint);
        assert!(error.file.ends_with("own.toml"), "{told}");
        assert_eq!(error.line, Some(line), "{from} -> {to}: {told}");
        assert!(error.problem.contains(problem), "{told}");
        assert!(error.hint.contains(hint), "{told}");
    }
    // Sound tables that do not answer: the tasking is at fault.
    for (table, problem) in [
        (
            OWN.replace("\"water\"", "\"land\"").replace(
                "weather = \"small\", speed = \"power boat under 8 m\"",
                "terrain = \"person\"",
            ),
            "the table is for land",
        ),
        (
            OWN.replace("[0.3, 0.5]", "[0.3, 0.0]"),
            "a sweep width of 0",
        ),
        (OWN.replace("kayak", "canoe"), "no object \"Kayak\""),
    ] {
        let error = with(&table).unwrap_err();
        assert!(
            error.file.ends_with("tasking.toml") && error.problem.contains(problem),
            "{error}"
        );
    }
    std::fs::remove_file(folder.path().join("own.toml")).unwrap();
    let error = tasking(&keys, &path).unwrap_err();
    assert!(error.problem.contains("cannot be read"), "{error}");
}
