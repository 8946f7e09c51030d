-- audit.intake: one row a sheet read.
-- columns:
--   season: year in which the season starts
--   run_id: the run that read it
--   source_file: file
--   source_sheet: sheet; empty for a CSV file
--   record_table: table of records that the sheet holds; blank where it was set aside
--   rows_read: rows read = accepted + rejected + held + set_aside
--   accepted: rows accepted
--   rejected: rows rejected
--   held: rows held because their job was rejected or is missing
--   set_aside: rows set aside: blank, title, headings, totals, notes
--   headings: headings as they were recognised
--   left_out: headings that were not read, and why
--   note: how the sheet was recognised, or why it was set aside
--   branch_set: branches that were closed together, sorted, joined by +; many are cut short

create table if not exists audit.intake (
    season integer not null,
    run_id varchar not null,
    source_file varchar,
    source_sheet varchar,
    record_table varchar,
    rows_read bigint,
    accepted bigint,
    rejected bigint,
    held bigint,
    set_aside bigint,
    headings varchar,
    left_out varchar,
    note varchar,
    branch_set varchar not null
);
