//! The file is a GeoPackage, by the standard (OGC 12-128r19; what is asked of each table from memory, without the numbers
//! of its requirements), and as GDAL reads it.

use crate::made::{Place, by, document, nth, number, record};
use overflown::logbook::Logbook;
use overflown::plan::LegKind;
use serde_json::Value;
use std::path::Path;

#[test]
fn it_is_what_the_standard_asks_for() {
    let place = Place::with(2);
    let bytes = place.bytes();
    assert!(bytes.starts_with(b"SQLite format 3\0"));
    // In the header of the file (format of SQLite databases): user_version at 60, application_id at 68, and the
    // versions for writing and reading at 18 and 19, where 2 stands for a write-ahead log.
    assert_eq!(bytes[60..64], 10_400u32.to_be_bytes());
    assert_eq!(&bytes[68..72], b"GPKG");
    assert_eq!(bytes[18..20], [1, 1]);
    let sql = place.sql();
    let found = |query: &str| number(&sql, query);
    for (id, organization) in [(4326, "EPSG"), (-1, "NONE"), (0, "NONE")] {
        let query = format!(
            "SELECT count(*) FROM gpkg_spatial_ref_sys WHERE srs_id = {id} AND organization = '{organization}' \
             AND organization_coordsys_id = {id}"
        );
        assert_eq!(found(&query), 1, "{id}");
    }
    let check: String = sql
        .query_row("PRAGMA integrity_check", [], |r| r.get(0))
        .unwrap();
    assert_eq!(check, "ok");
    assert_eq!(found("SELECT count(*) FROM pragma_foreign_key_check"), 0);
    for (table, kind) in [
        ("legs", "features"),
        ("tracks", "features"),
        ("sorties", "attributes"),
        ("measures", "attributes"),
    ] {
        let query = format!(
            "SELECT count(*) FROM gpkg_contents WHERE table_name = '{table}' AND data_type = '{kind}'"
        );
        assert_eq!(found(&query), 1, "{table}");
        // One column, a whole number, is the primary key.
        let query = format!(
            "SELECT count(*) FROM pragma_table_info('{table}') WHERE pk = 1 AND type = 'INTEGER' AND name = 'id'"
        );
        assert_eq!(found(&query), 1, "{table}");
    }
    for table in ["legs", "tracks"] {
        let query = format!(
            "SELECT count(*) FROM gpkg_geometry_columns WHERE table_name = '{table}' AND column_name = 'geom' \
             AND geometry_type_name = 'LINESTRING' AND srs_id = 4326 AND z = 0 AND m = 0"
        );
        assert_eq!(found(&query), 1, "{table}");
        bounds(&sql, table);
    }
    // The moment handed in, not that of the clock.
    let changed =
        "SELECT count(*) FROM gpkg_contents WHERE last_change <> '2026-06-01T10:00:00.000Z'";
    assert_eq!(found(changed), 0);
}

/// The bounds of a layer are those of the coordinates in its lines, and each header says those of its line.
fn bounds(sql: &rusqlite::Connection, table: &str) {
    let mut all = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
    let mut query = sql
        .prepare(&format!("SELECT geom FROM {table} WHERE geom IS NOT NULL"))
        .unwrap();
    let geoms: Vec<Vec<u8>> = query
        .query_map([], |r| r.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    assert!(geoms.len() > 7);
    for geom in geoms {
        // Magic, version 0, flags: little endian with bounds of x and y, neither empty nor extended.
        assert_eq!(geom[..4], [0x47, 0x50, 0, 3]);
        assert_eq!(geom[4..8], 4326i32.to_le_bytes());
        assert_eq!(geom[40..45], [1, 2, 0, 0, 0], "a little-endian line");
        let numbers: Vec<f64> = geom[49..]
            .chunks_exact(8)
            .map(|bytes| f64::from_le_bytes(bytes.try_into().unwrap()))
            .collect();
        let count = u32::from_le_bytes(geom[45..49].try_into().unwrap());
        assert_eq!(numbers.len(), 2 * count as usize);
        let mut own = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
        for place in numbers.chunks_exact(2) {
            for bounds in [&mut own, &mut all] {
                *bounds = [
                    bounds[0].min(place[0]),
                    bounds[1].min(place[1]),
                    bounds[2].max(place[0]),
                    bounds[3].max(place[1]),
                ];
            }
        }
        let header: Vec<u8> = [own[0], own[2], own[1], own[3]]
            .iter()
            .flat_map(|n| n.to_le_bytes())
            .collect();
        assert_eq!(geom[8..40], header);
    }
    let query = "SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = ?1";
    let told: [f64; 4] = sql
        .query_row(query, [table], |r| {
            Ok([r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?])
        })
        .unwrap();
    assert_eq!(told, all, "{table}");
}

/// An index over places, as programs for maps add it to a layer (its tables and triggers from memory, cut down to those
/// that adding and removing run), holds what is added and loses what is removed.
#[test]
fn an_index_over_places_is_kept_up() {
    let place = Place::with(1);
    place
        .sql()
        .execute_batch(
            "CREATE TABLE gpkg_extensions (table_name TEXT, column_name TEXT, extension_name TEXT NOT NULL, \
               definition TEXT NOT NULL, scope TEXT NOT NULL, UNIQUE (table_name, column_name, extension_name)); \
             INSERT INTO gpkg_extensions VALUES ('legs', 'geom', 'gpkg_rtree_index', 'R-tree', 'write-only'); \
             CREATE VIRTUAL TABLE rtree_legs_geom USING rtree(id, minx, maxx, miny, maxy); \
             CREATE TRIGGER rtree_legs_geom_insert AFTER INSERT ON legs \
               WHEN (new.geom NOT NULL AND NOT ST_IsEmpty(NEW.geom)) \
               BEGIN INSERT OR REPLACE INTO rtree_legs_geom VALUES \
                 (NEW.id, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom)); END; \
             CREATE TRIGGER rtree_legs_geom_delete AFTER DELETE ON legs WHEN old.geom NOT NULL \
               BEGIN DELETE FROM rtree_legs_geom WHERE id = OLD.id; END;",
        )
        .unwrap();
    let mut logbook = Logbook::open_to_add(&place.file).unwrap();
    logbook
        .add(&document(&nth(2)), &record(2.0), by("Ada Lind"))
        .unwrap();
    let debrief = nth(2);
    let planned = debrief
        .plan
        .legs
        .iter()
        .filter(|leg| leg.kind == LegKind::Search);
    let sql = place.sql();
    let mut query = sql
        .prepare("SELECT minx, maxx, miny, maxy FROM rtree_legs_geom ORDER BY id")
        .unwrap();
    let boxes: Vec<[f64; 4]> = query
        .query_map([], |r| Ok([r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?]))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    assert_eq!(boxes.len(), 4);
    for (found, leg) in boxes.iter().zip(planned) {
        let (a, b) = (leg.start, leg.end);
        let meant = [
            a.lon().min(b.lon()),
            a.lon().max(b.lon()),
            a.lat().min(b.lat()),
            a.lat().max(b.lat()),
        ];
        // An R-tree keeps 32 bits, rounded outwards.
        assert!(
            found.iter().zip(meant).all(|(f, m)| (f - m).abs() < 1e-5),
            "{found:?} {meant:?}"
        );
    }
    drop(query);
    logbook.remove(&[2], crate::made::moment()).unwrap();
    assert_eq!(place.count("rtree_legs_geom"), 0);
}

/// Two flights, one of them across the antimeridian.
fn for_others(file: &Path) {
    let mut logbook = Logbook::open_to_add(file).unwrap();
    let mut across = nth(2);
    for leg in &mut across.plan.legs {
        let moved = |at: overflown::geodesy::Position| {
            overflown::geodesy::Position::new(at.lat(), at.lon() + 168.79).unwrap()
        };
        (leg.start, leg.end) = (moved(leg.start), moved(leg.end));
    }
    logbook
        .add(&document(&nth(1)), &record(1.0), by("Ada Lind"))
        .unwrap();
    logbook
        .add(&document(&across), &record(2.5), by("Åsa Ö"))
        .unwrap();
}

/// Writes the file that `read_back.py` reads.
#[test]
#[ignore = "by hand, before reading it with another program"]
fn logbook_for_others() {
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("for-others.gpkg");
    let _ = std::fs::remove_file(&file);
    for_others(&file);
}

/// `read_back.json` is what `read_back.py` printed of that file; commands and versions stand in the script.
#[test]
fn gdal_reads_what_was_meant() {
    let read: Value = serde_json::from_str(include_str!("read_back.json")).unwrap();
    assert_eq!(read["driver"], "GPKG");
    let place = Place::new();
    for_others(&place.file);
    let sql = place.sql();
    let layers = read["layers"].as_object().unwrap();
    let mut names: Vec<&String> = layers.keys().collect();
    names.sort();
    assert_eq!(names, ["legs", "measures", "sorties", "tracks"]);
    for (name, layer) in layers {
        let rows = number(&sql, &format!("SELECT count(*) FROM {name}"));
        assert_eq!(layer["features"], rows, "{name}");
        let lines = ["legs", "tracks"].contains(&name.as_str());
        assert_eq!(
            layer["crs"].as_str(),
            lines.then_some("EPSG:4326"),
            "{name}"
        );
        assert_eq!(
            layer["geometry"].as_str(),
            lines.then_some("LineString"),
            "{name}"
        );
        if lines {
            let query =
                "SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = ?1";
            let told: [f64; 4] = sql
                .query_row(query, [name], |r| {
                    Ok([r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?])
                })
                .unwrap();
            let bounds: Vec<f64> = layer["bounds"]
                .as_array()
                .unwrap()
                .iter()
                .map(|b| b.as_f64().unwrap())
                .collect();
            assert!(
                told.iter().zip(bounds).all(|(a, b)| (a - b).abs() < 1e-9),
                "{name}"
            );
        }
    }
    let debrief = nth(1);
    let planned: Vec<_> = debrief
        .plan
        .legs
        .iter()
        .filter(|leg| leg.kind == LegKind::Search)
        .collect();
    let legs = read["legs"].as_array().unwrap();
    assert_eq!(legs.len(), 8);
    for (leg, planned) in legs.iter().zip(planned.iter().chain(&planned)) {
        assert_eq!(leg["leg"], planned.label);
        let shift = if leg["sortie_id"] == 1 { 0.0 } else { 168.79 };
        let ends = [planned.start, planned.end];
        for (read, meant) in leg["line"].as_array().unwrap().iter().zip(ends) {
            let apart =
                (read[0].as_f64().unwrap() - meant.lon() - shift + 180.0).rem_euclid(360.0) - 180.0;
            assert!(apart.abs() < 1e-9, "{leg}");
            assert!(
                (read[1].as_f64().unwrap() - meant.lat()).abs() < 1e-9,
                "{leg}"
            );
        }
        let longitudes = [&leg["line"][0][0], &leg["line"][1][0]].map(|lon| lon.as_f64().unwrap());
        assert!(
            (longitudes[0] - longitudes[1]).abs() < 1.0,
            "broken at the antimeridian: {leg}"
        );
    }
    assert_eq!(read["pilots"], serde_json::json!(["Ada Lind", "Åsa Ö"]));
    assert_eq!(read["values"], serde_json::json!([1.0, null, 2.5, null]));
    let started = sql.query_row("SELECT started FROM sorties WHERE id = 1", [], |r| {
        r.get::<_, String>(0)
    });
    assert_eq!(
        read["started"][0].as_str().unwrap(),
        started.unwrap().trim_end_matches('Z')
    );
}
