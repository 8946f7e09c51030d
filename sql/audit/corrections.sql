-- audit.corrections: one row a cell that was changed in a workbook of rejected rows and put back into the folder.
-- The corrected row counts in the place of the one at its origin, which is set aside.
-- columns:
--   season: year in which the season starts
--   run_id: the run that read it
--   origin_file: file that the row was first read from
--   origin_sheet: sheet that the row was first read from; empty for a CSV file
--   origin_row: row of that sheet, counted from 1
--   source_file: file that holds the correction
--   source_sheet: sheet that holds the correction; empty for a CSV file
--   source_row: row of that sheet, counted from 1
--   record_table: table of records that the row belongs to
--   column_name: column's letter where the correction stands and heading as written
--   old_value: the cell as it was at its origin; blank where it was blank
--   new_value: the cell as it was corrected; blank where it was emptied
--   place: where the corrected row ended: accepted, rejected, held or set aside (of a branch that was not asked for)
--   branch_set: branches that were closed together, sorted, joined by +; many are cut short

create table if not exists audit.corrections (
    season integer not null,
    run_id varchar not null,
    origin_file varchar not null,
    origin_sheet varchar not null,
    origin_row bigint not null,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row bigint not null,
    record_table varchar not null,
    column_name varchar not null,
    old_value varchar,
    new_value varchar,
    place varchar not null,
    branch_set varchar not null
);
