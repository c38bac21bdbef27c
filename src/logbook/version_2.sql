-- Wind across each leg, of its first passage; filled from the debriefs that are kept.
ALTER TABLE legs ADD COLUMN crosswind_mps DOUBLE;
UPDATE logbook_version SET version = 2;
