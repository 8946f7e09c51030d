-- audit.files: one row a file read for a season.
-- columns:
--   season: year in which the season starts
--   run_id: the run that read it
--   path: path within the season's folder
--   sha256: SHA-256 of the file's bytes
--   rows: rows read
--   problem: why the file could not be read; blank where it was
--   branch_set: branches that were closed together, sorted, joined by +; many are cut short

create table if not exists audit.files (
    season integer not null,
    run_id varchar not null,
    path varchar not null,
    sha256 varchar not null,
    rows bigint,
    problem varchar,
    branch_set varchar not null
);
