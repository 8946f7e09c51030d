-- audit.runs: one row a run that closed a season.
-- The one table that keeps the history: a season closed again with other files adds a run.
-- columns:
--   run_id: the run: the same folder read by the same version is the same run
--   started: when the run last started, UTC
--   version: version of perfoot
--   folder: name of the season's folder
--   season: year in which the season starts
--   outcome: what became of the run
--   files: every file read: its path in the folder, SHA-256 of its bytes, rows read
--   branch_set: branches that were closed together, sorted, joined by +; many are cut short
--   rows_read: rows read = accepted + rejected + held + set_aside
--   accepted: rows accepted
--   rejected: rows rejected
--   held: rows held because their job was rejected or is missing
--   set_aside: rows set aside: blank, title, headings, totals, notes

create table if not exists audit.runs (
    run_id varchar not null,
    started varchar not null,
    version varchar not null,
    folder varchar not null,
    season integer not null,
    outcome varchar not null,
    files struct(path varchar, sha256 varchar, "rows" bigint)[],
    branch_set varchar,
    rows_read bigint,
    accepted bigint,
    rejected bigint,
    held bigint,
    set_aside bigint,
    unique (run_id)
);
