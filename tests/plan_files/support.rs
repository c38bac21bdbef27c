//! Plans of every kind, drawn up.

use overflown::geodesy::Position;
use overflown::plan::{self, Plan, arithmetic, survey};
use overflown::preflight::{Questions, preflight};
use overflown::report::plan::{PlanReport, files};
use overflown::tasking;
use std::collections::BTreeMap;
use std::path::Path;

/// What stands before the pattern, and after it.
fn tasking_text(sortie: &str, area: &str, pattern: &str) -> String {
    format!(
        "sortie = {sortie:?}\ndate = 2026-06-14\n{area}\n[pattern]\n{pattern}\n[flight]\nground_speed = \
         \"90 kt\"\naltitude = \"2500 ft\"\n[detection]\nsweep_width = \"0.5 NM\"\n"
    )
}

/// Half a degree and less across, wherever it lies.
fn boxed(south: f64, west: f64, north: f64, east: f64) -> String {
    format!("[area]\nsouth = {south}\nwest = {west}\nnorth = {north}\neast = {east}\n")
}

const SWEEP: &str =
    "kind = \"parallel sweep\"\nfirst_course = \"090 T\"\nturn = \"left\"\nspacing = \"2 NM\"";

/// Taskings with their names.
pub fn taskings() -> Vec<(&'static str, String)> {
    let square = "kind = \"expanding square\"\ndatum = [55.05, 10.1]\nfirst_course = \"030 M\"\nturn = \
                  \"right\"\nspacing = \"1 NM\"\nlegs = 8";
    let sector = "kind = \"sector\"\ndatum = [-55.05, -70.1]\nfirst_course = \"000 M\"\nturn = \"right\"\n\
                  radius = \"5 NM\"\nsecond_pass = true";
    let named = "kind = \"parallel sweep\"\nfirst_course = \"351 M\"\nturn = \"right\"\nspacing = \
                 \"0.5 NM\"\nstart = [48.5042, 67.0063]\nleg_length = \"7 NM\"\nlegs = 10";
    vec![
        (
            "sweep",
            tasking_text("Teal 1", &boxed(48.5, 67.0, 48.625, 67.125), named),
        ),
        ("square", tasking_text("Teal 2", "", square)),
        ("sector", tasking_text("Teal 3", "", sector)),
        (
            "antimeridian",
            tasking_text("Teal 4", &boxed(-17.0, 179.9, -16.75, -179.9), SWEEP),
        ),
        (
            "far north",
            tasking_text("Teal 5", &boxed(80.0, 20.0, 80.25, 22.0), SWEEP),
        ),
    ]
}

/// A tasking with another sortie.
pub fn named(sortie: &str) -> String {
    tasking_text(sortie, &boxed(48.5, 67.0, 48.625, 67.125), SWEEP)
}

/// A plan and its files.
pub struct Drawn {
    pub plan: Plan,
    pub rows: Vec<arithmetic::LegRow>,
    pub files: BTreeMap<&'static str, String>,
}

pub fn draw(text: &str) -> Drawn {
    draw_as(text, None)
}

/// With the sortie's name replaced by one that no tasking could have.
pub fn draw_as(text: &str, sortie: Option<&str>) -> Drawn {
    let path = Path::new("tasking.toml");
    let mut tasking = tasking::parse(text, path).unwrap();
    if let Some(sortie) = sortie {
        tasking.sortie = sortie.to_owned();
    }
    let plan = plan::lay_out(&tasking, path).unwrap();
    let rows = arithmetic::leg_table(&plan, tasking.flight.ground_speed);
    let corners = survey::area_corners(&plan);
    let preflight = preflight(&tasking, path, &plan, &Questions::default());
    let report = PlanReport {
        tasking: &tasking,
        plan: &plan,
        rows: &rows,
        corners: &corners,
        preflight: &preflight,
    };
    let files = files(&report)
        .unwrap()
        .into_iter()
        .map(|file| (file.name, String::from_utf8(file.bytes).unwrap()))
        .collect();
    Drawn { plan, rows, files }
}

/// Degrees by which a place may be off, 11 mm.
pub const NEAR_DEG: f64 = 1e-7;

/// Whether longitude and latitude are those of a place; a turn round the earth more or less does not
/// matter.
pub fn is_at(lonlat: [f64; 2], place: Position) -> bool {
    let lon = (lonlat[0] - place.lon()).rem_euclid(360.0);
    lon.min(360.0 - lon) <= NEAR_DEG && (lonlat[1] - place.lat()).abs() <= NEAR_DEG
}
