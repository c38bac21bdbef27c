//! TOML text → [`SearchTask`].

use super::{area, document, read_text};
use crate::input::{InputError, InputFile};
use crate::tasking::fields::{Section, Source};
use crate::tasking::search::{SearchTask, SubAreaTask};
use std::path::Path;

const TOP: [&str; 6] = [
    "search",
    "target_pod",
    "base",
    "ground_speed",
    "flight_time",
    "sub_areas",
];
/// Beside the keys of an area.
const SUB_AREA: [&str; 2] = ["name", "poc"];

/// Most sub-areas. Chosen: a region of hundreds of miles in cells of five minutes.
pub const MOST_SUB_AREAS: usize = 1000;

/// Every section of a search file with the keys it may hold; the top level has no name.
#[must_use]
pub fn known_search_keys() -> Vec<(&'static str, Vec<&'static str>)> {
    vec![("", TOP.to_vec()), ("sub_areas", sub_area_keys())]
}

fn sub_area_keys() -> Vec<&'static str> {
    SUB_AREA.iter().chain(&area::KEYS).copied().collect()
}

/// Reads a search file.
///
/// # Errors
/// When the file cannot be read or [`parse_search`] refuses it.
pub fn read_search(path: &Path) -> Result<SearchTask, InputError> {
    parse_search(&read_text(path, "search file")?, path)
}

/// Reads a search file from its text; `path` is used for messages and for files named in it.
///
/// # Errors
/// When the text is not TOML, a key is missing, unknown or of the wrong kind, or a value is outside
/// its range; the error names the line and what would be accepted.
pub fn parse_search(text: &str, path: &Path) -> Result<SearchTask, InputError> {
    let source = Source { path, text };
    let document = document(&source)?;
    let top = Section::new(&source, "", None, document.get_ref(), &TOP)?;
    let name = super::result_name(&top, "search", "\"Search north of the river\"")?;
    let target_pod = super::share(&top, "target_pod")?;
    let flight_time_s = top.duration_s("flight_time")?;
    top.check(
        "flight_time",
        flight_time_s.is_none_or(|time| time > 0.0),
        "must be more than zero",
    )?;
    let keys = sub_area_keys();
    let mut sub_areas: Vec<SubAreaTask> = Vec::new();
    let sections = top.sections("sub_areas", "[sub_areas]", &keys)?;
    let sections = sections.unwrap_or_default();
    top.check(
        "sub_areas",
        sections.len() <= MOST_SUB_AREAS,
        &format!("must be at most {MOST_SUB_AREAS}"),
    )?;
    for section in &sections {
        let sub_area = sub_area(section)?;
        fits_those_before(section, &sub_area, &sub_areas)?;
        sub_areas.push(sub_area);
    }
    if let Some(last) = sections.last() {
        last.check(
            "poc",
            sub_areas.iter().any(|sub_area| sub_area.poc != Some(0.0)),
            "must be above 0 in one sub-area at least",
        )?;
    }
    Ok(SearchTask {
        source: InputFile::of("search", path, text.as_bytes()),
        name,
        target_pod,
        base: top.position("base")?,
        ground_speed: top.positive_speed("ground_speed")?,
        flight_time_s,
        sub_areas,
    })
}

/// Whether its name is its own, and its POC no more than the others leave.
fn fits_those_before(
    section: &Section<'_>,
    sub_area: &SubAreaTask,
    before: &[SubAreaTask],
) -> Result<(), InputError> {
    section.check(
        "name",
        before.iter().all(|other| other.name != sub_area.name),
        "is that of a sub-area before it: give each its own",
    )?;
    let taken: f64 = before.iter().filter_map(|other| other.poc).sum();
    section.check(
        "poc",
        taken + sub_area.poc.unwrap_or_default() <= 1.0 + 1e-9,
        &format!(
            "must leave the sum at 1 or less: those before it have {:.3}",
            taken
        ),
    )
}

fn sub_area(section: &Section<'_>) -> Result<SubAreaTask, InputError> {
    let name = section.require("name", section.text("name")?, "\"north\"")?;
    section.check(
        "name",
        !name.trim().is_empty() && name.chars().count() <= 80,
        "must be of 1 to 80 characters",
    )?;
    let poc = section.number("poc")?;
    section.check(
        "poc",
        poc.is_none_or(|poc| (0.0..=1.0).contains(&poc)),
        "must be from 0 to 1, such as 0.4 for 40 %",
    )?;
    Ok(SubAreaTask {
        name: name.trim().to_owned(),
        area: area::area(section)?,
        poc,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(text: &str) -> Result<SearchTask, InputError> {
        parse_search(text, Path::new("search.toml"))
    }

    #[test]
    fn reads_all_there_is() {
        let task = parsed(
            "search = \"North\"\ntarget_pod = 0.8\nbase = [47.0, 12.0]\nground_speed = \"90 kt\"\n\
             flight_time = \"90 min\"\n[[sub_areas]]\nname = \"A\"\npoc = 0.4\ngars = \"385ML36\"\n\
             [[sub_areas]]\nname = \"B\"\ncentre = [47.1, 12.2]\nradius = \"3 NM\"\n",
        )
        .unwrap();
        assert_eq!(task.name, "North");
        assert_eq!(task.flight_time_s, Some(5400.0));
        assert_eq!(task.sub_areas.len(), 2);
        assert_eq!(task.sub_areas[0].poc, Some(0.4));
        assert_eq!(task.sub_areas[1].poc, None);
    }

    #[test]
    fn says_what_is_wrong_and_where() {
        for (text, line, part) in [
            ("target_pod = 0.8\n", None, "search"),
            ("search = \"N\"\ntarget_pod = 1.5\n", Some(2), "less than 1"),
            (
                "search = \"N\"\n[[sub_areas]]\nname = \"A\"\npoc = 2\ngars = \"385ML36\"\n",
                Some(4),
                "from 0 to 1",
            ),
            (
                "search = \"N\"\n[[sub_areas]]\nname = \"A\"\nradius = \"3 NM\"\n",
                None,
                "centre",
            ),
            ("search = \"N\"\nflights = 3\n", Some(2), "unknown key"),
        ] {
            let error = parsed(text).unwrap_err();
            assert!(
                error.problem.contains(part) || error.hint.contains(part),
                "{text}: {error} / {}",
                error.hint
            );
            if line.is_some() {
                assert_eq!(error.line, line, "{text}");
            }
        }
    }
}
