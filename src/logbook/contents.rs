//! What the table of contents of a GeoPackage says of the tables: when they changed, and within which bounds.

use super::geometry::Bounds;
use rusqlite::{Connection, Result, params};

/// Tables that hold something of every sortie, and tables with lines.
const ALL: [&str; 4] = ["sorties", "measures", "legs", "tracks"];
pub(super) const WITH_LINES: [&str; 2] = ["legs", "tracks"];

/// Enters that all tables changed at a moment.
pub(super) fn changed(connection: &Connection, at: &str) -> Result<()> {
    let sql = "UPDATE gpkg_contents SET last_change = ?1 WHERE table_name = ?2";
    let mut update = connection.prepare_cached(sql)?;
    ALL.iter()
        .try_for_each(|table| update.execute([at, *table]).map(drop))
}

/// Widens the bounds of a table to these.
pub(super) fn widen(connection: &Connection, table: &str, bounds: Bounds) -> Result<()> {
    let sql = "UPDATE gpkg_contents SET min_x = min(coalesce(min_x, ?1), ?1), min_y = min(coalesce(min_y, ?2), ?2), \
               max_x = max(coalesce(max_x, ?3), ?3), max_y = max(coalesce(max_y, ?4), ?4) WHERE table_name = ?5";
    let Bounds {
        west,
        south,
        east,
        north,
    } = bounds;
    let mut update = connection.prepare_cached(sql)?;
    update.execute(params![west, south, east, north, table])?;
    Ok(())
}

/// Sets the bounds of every table with lines to those of the lines that are there.
pub(super) fn measure_bounds(connection: &Connection) -> Result<()> {
    for table in WITH_LINES {
        let sql = format!("SELECT substr(geom, 1, 40) FROM {table} WHERE typeof(geom) = 'blob'");
        let mut query = connection.prepare_cached(&sql)?;
        let headers = query.query_map([], |row| row.get::<_, Vec<u8>>(0))?;
        let mut all: Option<Bounds> = None;
        for header in headers {
            if let Some(bounds) = Bounds::in_header(&header?) {
                all = Some(all.map_or(bounds, |all| all.with(bounds)));
            }
        }
        let sql = "UPDATE gpkg_contents SET min_x = NULL, min_y = NULL, max_x = NULL, max_y = NULL WHERE table_name = ?1";
        connection.execute(sql, [table])?;
        if let Some(all) = all {
            widen(connection, table, all)?;
        }
    }
    Ok(())
}
