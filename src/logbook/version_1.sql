-- The tables that every GeoPackage has (OGC 12-128r19, annex of table definitions).
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL PRIMARY KEY,
  organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL,
  definition TEXT NOT NULL,
  description TEXT
);
INSERT INTO gpkg_spatial_ref_sys VALUES
  ('Undefined Cartesian SRS', -1, 'NONE', -1, 'undefined', 'undefined Cartesian coordinate reference system'),
  ('Undefined geographic SRS', 0, 'NONE', 0, 'undefined', 'undefined geographic coordinate reference system'),
  ('WGS 84', 4326, 'EPSG', 4326,
   'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]]',
   'longitude and latitude in degrees on the WGS 84 ellipsoid');
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY,
  data_type TEXT NOT NULL,
  identifier TEXT UNIQUE,
  description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE,
  min_y DOUBLE,
  max_x DOUBLE,
  max_y DOUBLE,
  srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id)
);
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL,
  column_name TEXT NOT NULL,
  geometry_type_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL,
  z TINYINT NOT NULL,
  m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id)
);

-- The tables of a logbook, described in docs/logbook.md.
CREATE TABLE logbook_version (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  version INTEGER NOT NULL
);
INSERT INTO logbook_version VALUES (1, 1);
CREATE TABLE sorties (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  sortie TEXT NOT NULL,
  pilot TEXT NOT NULL,
  date DATE NOT NULL,
  started DATETIME NOT NULL,
  ended DATETIME NOT NULL,
  pattern TEXT NOT NULL,
  planned_legs INTEGER NOT NULL,
  inputs_sha256 TEXT NOT NULL,
  debrief_sha256 TEXT NOT NULL,
  program_version TEXT NOT NULL,
  added_at DATETIME NOT NULL,
  record_version INTEGER NOT NULL,
  record TEXT NOT NULL
);
CREATE INDEX sorties_by_pilot ON sorties (pilot, started);
CREATE INDEX sorties_by_time ON sorties (started);
CREATE TABLE logs (
  sha256 TEXT NOT NULL,
  sortie_id INTEGER NOT NULL REFERENCES sorties (id) ON DELETE CASCADE,
  PRIMARY KEY (sha256, sortie_id)
) WITHOUT ROWID;
CREATE INDEX logs_by_sortie ON logs (sortie_id);
CREATE TABLE measures (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  sortie_id INTEGER NOT NULL REFERENCES sorties (id) ON DELETE CASCADE,
  measure TEXT NOT NULL,
  value DOUBLE,
  UNIQUE (sortie_id, measure)
);
CREATE INDEX measures_by_measure ON measures (measure, sortie_id, value);
CREATE TABLE documents (
  sortie_id INTEGER PRIMARY KEY REFERENCES sorties (id) ON DELETE CASCADE,
  bytes INTEGER NOT NULL,
  deflated BLOB NOT NULL
);
CREATE TABLE legs (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom LINESTRING,
  sortie_id INTEGER NOT NULL REFERENCES sorties (id) ON DELETE CASCADE,
  leg TEXT NOT NULL,
  state TEXT NOT NULL,
  flown_share DOUBLE NOT NULL,
  unrecorded_share DOUBLE NOT NULL,
  passes INTEGER NOT NULL,
  xte_mean_m DOUBLE,
  xte_sd_m DOUBLE,
  xte_p95_m DOUBLE,
  within_tolerance DOUBLE
);
CREATE INDEX legs_by_sortie ON legs (sortie_id);
CREATE TABLE tracks (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom LINESTRING,
  sortie_id INTEGER NOT NULL REFERENCES sorties (id) ON DELETE CASCADE,
  phase TEXT NOT NULL,
  leg TEXT
);
CREATE INDEX tracks_by_sortie ON tracks (sortie_id);
INSERT INTO gpkg_contents (table_name, data_type, identifier, description, srs_id) VALUES
  ('sorties', 'attributes', 'sorties', 'Debriefed sorties', NULL),
  ('measures', 'attributes', 'measures', 'Figures of each sortie', NULL),
  ('legs', 'features', 'legs', 'Planned search legs and how they were flown', 4326),
  ('tracks', 'features', 'tracks', 'Flown tracks, thinned, phase by phase', 4326);
INSERT INTO gpkg_geometry_columns VALUES
  ('legs', 'geom', 'LINESTRING', 4326, 0, 0),
  ('tracks', 'geom', 'LINESTRING', 4326, 0, 0);
