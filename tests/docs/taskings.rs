//! The tasking file: every key is named, and the examples lay out as told.

use crate::{TASKING_FILE, blocks, names, under};
use overflown::detection::sweep_width::{FactorTable, FactorTables, Surface, WidthTable};
use overflown::plan::{self, Plan};
use overflown::tasking;
use std::path::Path;

/// Lays the examples out in a folder that holds the route and the sweep width table of the document.
fn examples() -> Vec<Plan> {
    let folder = tempfile::tempdir().unwrap();
    let routes = blocks(TASKING_FILE, "xml");
    assert_eq!(routes.len(), 1);
    std::fs::write(folder.path().join("route.gpx"), routes[0]).unwrap();
    let tables = blocks(TASKING_FILE, "toml sweep-width-table");
    assert_eq!(tables.len(), 1);
    std::fs::write(folder.path().join("widths.toml"), tables[0]).unwrap();
    let mut factors = FactorTables::built_in().unwrap();
    for (block, which) in [
        ("weather", FactorTable::Weather),
        ("speed", FactorTable::Speed),
        ("terrain", FactorTable::Terrain),
        ("single-factors", FactorTable::Single),
    ] {
        let tables = blocks(TASKING_FILE, &format!("toml {block}-table"));
        assert_eq!(tables.len(), 1, "{block}");
        factors.replace(which, tables[0], Path::new(block)).unwrap();
    }
    for over in [Surface::Water, Surface::Land] {
        let widths = WidthTable::built_in(over).unwrap();
        factors.have_rows_for(&widths).unwrap();
    }
    let path = folder.path().join("tasking.toml");
    blocks(TASKING_FILE, "toml")
        .into_iter()
        .map(|text| {
            std::fs::write(&path, text).unwrap();
            let tasking = tasking::read(&path).unwrap_or_else(|e| panic!("{e}: {}", e.hint));
            plan::lay_out(&tasking, &path).unwrap_or_else(|e| panic!("{e}: {}", e.hint))
        })
        .collect()
}

#[test]
fn examples_of_taskings_lay_out_as_told() {
    let plans = examples();
    assert_eq!(plans.len(), 14);
    for plan in plans {
        let legs: Vec<f64> = plan.search_legs().map(|(_, l)| l.length.nm()).collect();
        let longest = legs.iter().copied().fold(0.0, f64::max);
        let told = format!(
            "lays out {} search legs of up to {longest:.2} NM, {:.1} NM with the cross-legs",
            legs.len(),
            plan.total_length().nm()
        );
        let one_line = TASKING_FILE.replace('\n', " ");
        assert!(one_line.contains(&told), "the document should say: {told}");
        assert!(plan.notes.is_empty(), "{:?}", plan.notes);
    }
}

#[test]
fn every_key_of_a_tasking_is_documented() {
    for (section, keys) in tasking::known_keys() {
        let heading = match section {
            "" => "## Top level".to_owned(),
            name => format!("## `[{name}]`"),
        };
        let text = under(TASKING_FILE, &heading);
        for key in keys {
            assert!(names(text, key), "{key} is not under {heading}");
        }
    }
}
