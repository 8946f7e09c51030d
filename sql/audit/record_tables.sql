-- audit.record_tables: one row a table of records of which a sheet was found.
-- A table that has no row here was not handed in: what it would tell is unknown, not none.
-- columns:
--   season: year in which the season starts
--   run_id: the run that read it
--   record_table: the table
--   accepted: rows accepted; 0 where the sheet was empty, which means none
--   refused: rows rejected or held
--   branch_set: branches that were closed together, sorted, joined by +; many are cut short

create table if not exists audit.record_tables (
    season integer not null,
    run_id varchar not null,
    record_table varchar not null,
    accepted bigint,
    refused bigint,
    branch_set varchar not null,
    unique (season, branch_set, record_table)
);
