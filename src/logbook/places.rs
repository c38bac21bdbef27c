//! Functions over lines that an index over places needs (the R-tree extension of OGC 12-128r19): programs for maps add such
//! an index to a layer, and its triggers then run at every change, also at ours.

use super::geometry::Bounds;
use rusqlite::functions::{Context, FunctionFlags};
use rusqlite::{Connection, Result};

/// A bound of a line.
type Bound = fn(&Bounds) -> f64;

const BOUNDS: [(&str, Bound); 4] = [
    ("ST_MinX", |bounds| bounds.west),
    ("ST_MinY", |bounds| bounds.south),
    ("ST_MaxX", |bounds| bounds.east),
    ("ST_MaxY", |bounds| bounds.north),
];

/// Makes the functions known to a connection.
pub(super) fn register(connection: &Connection) -> Result<()> {
    // Innocuous: they look at nothing but what they are given, and so may be called by a schema that is not trusted.
    let flags = FunctionFlags::SQLITE_UTF8
        | FunctionFlags::SQLITE_DETERMINISTIC
        | FunctionFlags::SQLITE_INNOCUOUS;
    for (name, bound) in BOUNDS {
        connection.create_scalar_function(name, 1, flags, move |call| {
            Ok(bounds(call)?.as_ref().map(bound))
        })?;
    }
    // No line of fewer than two places is ever written.
    connection.create_scalar_function("ST_IsEmpty", 1, flags, |call| Ok(bounds(call)?.is_none()))
}

fn bounds(call: &Context<'_>) -> Result<Option<Bounds>> {
    let blob = call.get_raw(0).as_blob_or_null()?;
    Ok(blob.and_then(Bounds::in_header))
}
