//! `[detection]`: what is looked for, and the sweep width, given or from a table.

use super::looking;
use crate::detection::Law;
use crate::detection::sweep_width::{
    Conditions, Refusal, Surface, SurfaceConditions, SweepWidth, WidthTable,
};
use crate::input::{InputError, InputFile};
use crate::tasking::fields::Section;
use crate::tasking::{DetectionTask, FlightTask};
use crate::units::{Length, Speed};

pub(super) const KEYS: [&str; 22] = [
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
const BY_TABLE: [&str; 9] = [
    "object",
    "over",
    "visibility",
    "wind",
    "seas",
    "flotation",
    "terrain",
    "fatigued",
    "sweep_width_table",
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
    let (basis, table) = match by_table {
        None => (given(section)?, None),
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
        sweep_width_table: table,
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
) -> Result<(SweepWidth, Option<InputFile>), InputError> {
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
    let (table, file) = table(section, over)?;
    let width = SweepWidth::from_table(&table, &conditions)
        .map_err(|Refusal { key, problem, hint }| section.error_at(key, problem, hint))?;
    Ok((width, file))
}

/// The keys of one surface; those of the other are errors.
fn surface_conditions(
    section: &Section<'_>,
    over: Surface,
) -> Result<SurfaceConditions, InputError> {
    let (others, elsewhere) = match over {
        Surface::Water => (&["terrain"][..], "land"),
        Surface::Land => (&["wind", "seas", "flotation"][..], "water"),
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

/// The table built in, or the one the tasking names.
fn table(
    section: &Section<'_>,
    over: Surface,
) -> Result<(WidthTable, Option<InputFile>), InputError> {
    let Some(name) = section.text("sweep_width_table")? else {
        return Ok((WidthTable::built_in(over)?, None));
    };
    let path = section.beside(name);
    let text = std::fs::read_to_string(&path).map_err(|error| {
        section.error_at(
            "sweep_width_table",
            format!("{} cannot be read: {error}", path.display()),
            "name a TOML file of the form docs/tasking-file.md shows; a relative path starts at the \
             folder of the tasking",
        )
    })?;
    let table = WidthTable::parse(&text, &path)?;
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
        assert_eq!(task.sweep_width_table.unwrap().name, "own.toml");
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
}
