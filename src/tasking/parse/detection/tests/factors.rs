//! Tables of factors of one's own.

use super::*;

const WEATHER: &str = "document = \"Ours\"\ntable = \"W\"\nstatus = \"second-hand\"\n[[steps]]\nwind_over_kt = 10\n\
                       seas_over_ft = 2\nsmall = 0.7\nother = 0.9\n[[steps]]\nwind_over_kt = 30\nseas_from_ft = 6\n\
                       small = 0.2\nother = 0.5\n";
const SPEED: &str = "document = \"Ours\"\ntable = \"V\"\nstatus = \"read\"\nknots = [100, 200]\n[rows]\n\
                     \"paddle\" = [1.4, 1.0]\n\"sail\" = [1.2, 1.0]\n";
const TERRAIN: &str = "document = \"Ours\"\ntable = \"T\"\nstatus = \"read\"\nwords = [\"meadow\", \"scrub\"]\n[rows]\n\
                       \"person\" = [0.9, 0.5]\n\"vehicle\" = [0.8, 0.6]\n\"aircraft under 5700 kg\" = [0.9, 0.5]\n\
                       \"aircraft over 5700 kg\" = [0.9, 0.5]\n";
const SINGLE: &str = "[fatigue]\ndocument = \"Ours\"\ntable = \"F\"\nstatus = \"read\"\nfactor = 0.75\n\
                      [flotation]\ndocument = \"Ours\"\ntable = \"F\"\nstatus = \"read\"\nfactor = 2\n";

/// W with the factors of one's own, by hand; the files are remembered.
#[test]
fn factors_of_ones_own() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tasking.toml");
    for (name, text) in [
        ("own.toml", OWN.replace("power boat under 8 m", "paddle")),
        ("w.toml", WEATHER.to_owned()),
        ("v.toml", SPEED.to_owned()),
        ("t.toml", TERRAIN.to_owned()),
        ("f.toml", SINGLE.to_owned()),
    ] {
        std::fs::write(folder.path().join(name), text).unwrap();
    }
    let water = WATER
        .replace("raft 4-person", "kayak")
        .replace("10 NM", "2 NM");
    let keys = format!(
        "{water}\nfatigued = true\nsweep_width_table = \"own.toml\"\nweather_table = \"w.toml\"\n\
         speed_table = \"v.toml\"\nsingle_factors_table = \"f.toml\""
    );
    let task = tasking(&keys, &path).unwrap();
    // 0.5 NM; wind 20 kt and seas 4 ft reach the first step; 150 kt is midway; fatigued.
    assert!((task.sweep_width.nm() - 0.5 * 0.7 * 1.2 * 0.75).abs() < 1e-9);
    let sources: Vec<&str> = task
        .sweep_width_basis
        .factors
        .iter()
        .map(|f| f.source.as_str())
        .collect();
    assert_eq!(sources, ["Ours, Table W", "Ours, Table V", "Ours, F"]);
    let speed = &task.sweep_width_basis.factors[1].because;
    assert_eq!(speed, "at 150 kt; row \"paddle\"");
    let marks = task.sweep_width_basis.marks.join(" ");
    assert!(
        marks.contains("typed-out copies; check against your manual: Ours, Table W"),
        "{marks}"
    );
    assert!(!marks.contains("Table V"), "{marks}");
    let roles: Vec<&str> = task
        .sweep_width_tables
        .iter()
        .map(|file| file.role.as_str())
        .collect();
    assert_eq!(
        roles,
        [
            "weather-table",
            "speed-table",
            "single-factors-table",
            "sweep-width-table"
        ]
    );
    let land = LAND.replace("hilly", "Scrub");
    let task = tasking(&format!("{land}\nterrain_table = \"t.toml\""), &path).unwrap();
    let built_in = read(LAND).unwrap();
    // 0.7 over hills, 0.6 in the scrub.
    assert!((task.sweep_width.nm() / built_in.sweep_width.nm() - 0.6 / 0.7).abs() < 1e-9);
    let refused = |keys: String, line: u32, problem: &str, hint: &str| {
        let error = tasking(&keys, &path).unwrap_err();
        assert_eq!(error.line, Some(line), "{error}");
        assert!(
            error.problem.contains(problem) && error.hint.contains(hint),
            "{error}; {}",
            error.hint
        );
    };
    refused(
        format!("{LAND}\nterrain_table = \"t.toml\""),
        FIRST + 4,
        "no terrain \"hilly\"",
        "\"meadow\"",
    );
    refused(
        format!("{LAND}\nspeed_table = \"v.toml\""),
        FIRST + 5,
        "`speed_table` goes with over = \"water\"",
        "",
    );
    refused(
        format!("{WATER}\nterrain_table = \"t.toml\""),
        FIRST + 6,
        "`terrain_table` goes with over = \"land\"",
        "",
    );
    refused(
        format!("{WATER}\nweather_table = \"none.toml\""),
        FIRST + 6,
        "none.toml cannot be read",
        "form",
    );
    refused(
        format!("{DIRECT}\nspeed_table = \"v.toml\""),
        FIRST + 1,
        "with `speed_table` looked up",
        "not both",
    );
    // The widths built in name rows that this table of speeds has not.
    let error = tasking(&format!("{WATER}\nspeed_table = \"v.toml\""), &path).unwrap_err();
    assert!(error.file.ends_with("v.toml"), "{error}");
    assert_eq!(error.line, Some(5), "{error}");
    assert!(error.problem.contains("there is no row \""), "{error}");
}

#[test]
fn what_is_wrong_with_a_table_of_factors_has_its_line() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tasking.toml");
    for (key, surface, table, from, to, line, problem) in [
        (
            "weather_table",
            WATER,
            WEATHER,
            "= 30",
            "= 5",
            9,
            "winds do not rise at 5",
        ),
        (
            "weather_table",
            WATER,
            WEATHER,
            "seas_from_ft = 6\n",
            "",
            9,
            "no height of the seas",
        ),
        (
            "weather_table",
            WATER,
            WEATHER,
            "seas_from_ft = 6",
            "seas_from_ft = 6\nseas_over_ft = 6",
            9,
            "or two",
        ),
        (
            "weather_table",
            WATER,
            WEATHER,
            "= 0.7",
            "= 0",
            4,
            "a factor `small` is 0",
        ),
        (
            "weather_table",
            WATER,
            WEATHER,
            "= 0.5",
            "= 50",
            9,
            "a factor `other` is 50",
        ),
        (
            "weather_table",
            WATER,
            WEATHER,
            "other = 0.9",
            "others = 0.9",
            8,
            "unknown field `others`",
        ),
        (
            "weather_table",
            WATER,
            WEATHER,
            "second-hand",
            "hearsay",
            3,
            "unknown variant",
        ),
        (
            "speed_table",
            WATER,
            SPEED,
            "[100, 200]",
            "[200, 100]",
            4,
            "knots do not rise at 100",
        ),
        (
            "speed_table",
            WATER,
            SPEED,
            "knots = [100, 200]\n",
            "",
            4,
            "there are no knots",
        ),
        (
            "speed_table",
            WATER,
            SPEED,
            "knots = [100, 200]",
            "knots = [1]\nwords = [\"a\"]",
            5,
            "`words` does not belong",
        ),
        (
            "speed_table",
            WATER,
            SPEED,
            "[1.2, 1.0]",
            "[1.2]",
            7,
            "\"sail\" has 1 factors for 2 columns",
        ),
        (
            "speed_table",
            WATER,
            SPEED,
            "[1.4, 1.0]",
            "[-1.4, 1.0]",
            6,
            "a factor of \"paddle\" is -1.4",
        ),
        (
            "speed_table",
            WATER,
            SPEED,
            "[1.4, 1.0]",
            "[1.4, nan]",
            6,
            "a factor of \"paddle\" is NaN",
        ),
        (
            "terrain_table",
            LAND,
            TERRAIN,
            "\"scrub\"]",
            "\"Meadow\"]",
            4,
            "stands there twice",
        ),
        (
            "terrain_table",
            LAND,
            TERRAIN,
            "words = [\"meadow\", \"scrub\"]\n",
            "",
            4,
            "there are no words",
        ),
        (
            "terrain_table",
            LAND,
            TERRAIN,
            "[0.8, 0.6]",
            "[0.8, \"-\"]",
            7,
            "invalid type",
        ),
        (
            "terrain_table",
            LAND,
            TERRAIN,
            "\"vehicle\" = [0.8, 0.6]\n",
            "",
            5,
            "there is no row \"vehicle\"",
        ),
        (
            "single_factors_table",
            LAND,
            SINGLE,
            "= 0.75",
            "= -1",
            1,
            "a factor of fatigue is -1",
        ),
        (
            "single_factors_table",
            LAND,
            SINGLE,
            "= 2",
            "= 20",
            6,
            "a factor of a flotation device is 20",
        ),
        (
            "single_factors_table",
            LAND,
            SINGLE,
            "[flotation]",
            "[flotations]",
            6,
            "unknown field `flotations`",
        ),
    ] {
        assert!(table.contains(from), "{from}");
        std::fs::write(folder.path().join("own.toml"), table.replacen(from, to, 1)).unwrap();
        let error = tasking(&format!("{surface}\n{key} = \"own.toml\""), &path).unwrap_err();
        assert!(error.file.ends_with("own.toml"), "{from}: {error}");
        assert!(error.problem.contains(problem), "{from}: {error}");
        assert_eq!(error.line, Some(line), "{from}: {error}");
        assert!(!error.hint.is_empty());
    }
}
