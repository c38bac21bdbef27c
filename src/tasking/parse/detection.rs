//! `[detection]`: what is looked for, and the sweep width, given or from a table.

use super::looking;
use crate::detection::Law;
use crate::detection::sweep_width::{
    Conditions, FactorTable, FactorTables, Refusal, Surface, SurfaceConditions, SweepWidth,
    WidthTable,
};
use crate::input::{InputError, InputFile};
use crate::tasking::fields::Section;
use crate::tasking::{DetectionTask, FlightTask};
use crate::units::{Length, Speed};
use std::path::PathBuf;

pub(super) const KEYS: [&str; 26] = [
    "sweep_width",
    "sweep_width_spread",
    "search_height",
    "object",
    "over",
    "visibility",
    "wind",
    "seas",
    "flotation",
    "terrain",
    "fatigued",
    "sweep_width_table",
    "weather_table",
    "speed_table",
    "terrain_table",
    "single_factors_table",
    "law",
    "target_pod",
    "scanners",
    "blind_strip",
    "lowest",
    "highest",
    "slowest",
    "fastest",
    "position_error",
    "search_object",
];

/// Keys of the way by a table.
const BY_TABLE: [&str; 13] = [
    "object",
    "over",
    "visibility",
    "wind",
    "seas",
    "flotation",
    "terrain",
    "fatigued",
    "sweep_width_table",
    "weather_table",
    "speed_table",
    "terrain_table",
    "single_factors_table",
];

/// Keys that name a table of factors, and what the file is used as.
const FACTOR_TABLES: [(&str, FactorTable, &str); 4] = [
    ("weather_table", FactorTable::Weather, "weather-table"),
    ("speed_table", FactorTable::Speed, "speed-table"),
    ("terrain_table", FactorTable::Terrain, "terrain-table"),
    (
        "single_factors_table",
        FactorTable::Single,
        "single-factors-table",
    ),
];

/// Greatest search height. Chosen: a slip of unit or digit is more likely than a visual search from
/// higher up.
const HIGHEST: Length = Length::from_ft(10_000.0);

pub(super) fn detection(
    section: &Section<'_>,
    flight: &FlightTask,
) -> Result<DetectionTask, InputError> {
    let search_height = section.positive_length("search_height")?;
    section.check(
        "search_height",
        search_height.is_none_or(|height| height <= HIGHEST),
        "is above the surface and at most 10,000 ft",
    )?;
    let by_table = BY_TABLE.iter().find(|key| section.has(key));
    let (basis, tables) = match by_table {
        None => (given(section)?, Vec::new()),
        Some(key) if section.has("sweep_width") => {
            return Err(section.error_at(
                key,
                format!("`sweep_width` is given, and with `{key}` looked up in a table as well"),
                "give either `sweep_width` or the keys of the table, not both",
            ));
        }
        Some(_) => from_table(section, search_height, flight.ground_speed)?,
    };
    let target_pod = super::share(section, "target_pod")?;
    let view = looking::view(section, basis.width)?;
    let (position_error, position_error_given) = looking::position_error(section)?;
    let search_object = section.text("search_object")?.or(section.text("object")?);
    Ok(DetectionTask {
        sweep_width: basis.width,
        sweep_width_basis: basis,
        sweep_width_tables: tables,
        search_height,
        law: section.choice("law", &laws())?.unwrap_or(Law::InverseCube),
        target_pod,
        view,
        limits: looking::limits(section, flight)?,
        position_error,
        position_error_given,
        search_object: search_object.map(str::to_owned),
    })
}

fn laws() -> [(&'static str, Law); 3] {
    Law::ALL.map(|law| (law.name(), law))
}

/// The width itself, with its spread where one is stated.
fn given(section: &Section<'_>) -> Result<SweepWidth, InputError> {
    let width = section.positive_length("sweep_width")?;
    let width = section.require(
        "sweep_width",
        width,
        "\"0.5 NM\", or `object`, `over` and the other keys of a table (docs/tasking-file.md)",
    )?;
    let spread = section.percent("sweep_width_spread")?;
    section.check(
        "sweep_width_spread",
        spread.is_none_or(|share| share > 0.0 && share < 1.0),
        "must be more than 0 % and less than 100 %",
    )?;
    Ok(SweepWidth::given(width, spread))
}

fn from_table(
    section: &Section<'_>,
    search_height: Option<Length>,
    ground_speed: Speed,
) -> Result<(SweepWidth, Vec<InputFile>), InputError> {
    if section.has("sweep_width_spread") {
        return Err(section.error_at(
            "sweep_width_spread",
            "`sweep_width_spread` goes with `sweep_width`; a width from a table has the table's spread",
            "take it out",
        ));
    }
    let surfaces = [Surface::Water, Surface::Land].map(|surface| (surface.name(), surface));
    let over = section.choice("over", &surfaces)?;
    let over = section.require("over", over, "\"water\" (or \"land\")")?;
    let object = section.text("object")?;
    let object = section.require("object", object, "\"raft 4-person\"")?;
    let visibility = section.positive_length("visibility")?;
    let conditions = Conditions {
        object: object.trim().to_owned(),
        search_height: section.require("search_height", search_height, "\"500 ft\"")?,
        visibility: section.require("visibility", visibility, "\"10 NM\"")?,
        ground_speed,
        surface: surface_conditions(section, over)?,
        fatigued: section.flag("fatigued")?.unwrap_or(false),
    };
    let (factors, mut files) = factor_tables(section)?;
    let (table, file) = table(section, over, &factors)?;
    files.extend(file);
    let width = SweepWidth::from_table(&table, &factors, &conditions)
        .map_err(|Refusal { key, problem, hint }| section.error_at(key, problem, hint))?;
    Ok((width, files))
}

/// The keys of one surface; those of the other are errors.
fn surface_conditions(
    section: &Section<'_>,
    over: Surface,
) -> Result<SurfaceConditions, InputError> {
    let (others, elsewhere) = match over {
        Surface::Water => (&["terrain", "terrain_table"][..], "land"),
        Surface::Land => (
            &["wind", "seas", "flotation", "weather_table", "speed_table"][..],
            "water",
        ),
    };
    if let Some(key) = others.iter().find(|key| section.has(key)) {
        return Err(section.error_at(
            key,
            format!(
                "`{key}` goes with over = \"{elsewhere}\", not with \"{}\"",
                over.name()
            ),
            format!("take `{key}` out, or correct `over`"),
        ));
    }
    if over == Surface::Land {
        let terrain = section.text("terrain")?;
        let terrain = section.require("terrain", terrain, "\"hilly\"")?;
        return Ok(SurfaceConditions::Land {
            terrain: terrain.trim().to_owned(),
        });
    }
    let (wind, seas) = (section.speed("wind")?, section.length("seas")?);
    for (key, holds) in [
        ("wind", wind.is_none_or(|wind| wind.mps() >= 0.0)),
        ("seas", seas.is_none_or(|seas| seas.m() >= 0.0)),
    ] {
        section.check(key, holds, "must not be less than zero")?;
    }
    Ok(SurfaceConditions::Water {
        wind: section.require(
            "wind",
            wind,
            "\"10 kt\" (the worse of wind and seas decides)",
        )?,
        seas: section.require(
            "seas",
            seas,
            "\"2 ft\" (the worse of wind and seas decides)",
        )?,
        flotation: section.flag("flotation")?.unwrap_or(false),
    })
}

/// The tables of factors built in, or those the tasking names, with their files.
fn factor_tables(section: &Section<'_>) -> Result<(FactorTables, Vec<InputFile>), InputError> {
    let mut tables = FactorTables::built_in()?;
    let mut files = Vec::new();
    for (key, which, role) in FACTOR_TABLES {
        if let Some((path, text)) = table_file(section, key)? {
            tables.replace(which, &text, &path)?;
            files.push(InputFile::of(role, &path, text.as_bytes()));
        }
    }
    Ok((tables, files))
}

/// The file that `key` names, with its text.
fn table_file(section: &Section<'_>, key: &str) -> Result<Option<(PathBuf, String)>, InputError> {
    let Some(name) = section.text(key)? else {
        return Ok(None);
    };
    let path = section.beside(name);
    let text = std::fs::read_to_string(&path).map_err(|error| {
        section.error_at(
            key,
            format!("{} cannot be read: {error}", path.display()),
            "name a TOML file of the form docs/tasking-file.md shows; a relative path starts at the \
             folder of the tasking",
        )
    })?;
    Ok(Some((path, text)))
}

/// The table of widths built in, or the one the tasking names.
fn table(
    section: &Section<'_>,
    over: Surface,
    factors: &FactorTables,
) -> Result<(WidthTable, Option<InputFile>), InputError> {
    let Some((path, text)) = table_file(section, "sweep_width_table")? else {
        let table = WidthTable::built_in(over)?;
        factors.have_rows_for(&table)?;
        return Ok((table, None));
    };
    let table = WidthTable::parse(&text, &path, factors)?;
    if table.over() != over {
        return Err(section.error_at(
            "sweep_width_table",
            format!(
                "the table is for {}, the search is over {}",
                table.over().name(),
                over.name()
            ),
            "correct `over`, or name another table",
        ));
    }
    let file = InputFile::of("sweep-width-table", &path, text.as_bytes());
    Ok((table, Some(file)))
}

#[cfg(test)]
mod tests {
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
                "transcription",
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
}
