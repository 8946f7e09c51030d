-- audit.findings: one row a finding of the intake.
-- columns:
--   season: year in which the season starts
--   run_id: the run that found it
--   source_file: file
--   source_sheet: sheet; empty for a CSV file
--   source_row: row of the sheet, counted from 1; blank where the finding is not about a row
--   column_name: column's letter and heading as written
--   value: the cell as written
--   rule: the rule that was broken
--   severity: error (rejects its row), held (holds it), warning or note
--   message: what is wrong, as a person reads it
--   remedy: how to put it right
--   branch_set: branches that were closed together, sorted, joined by +; many are cut short

create table if not exists audit.findings (
    season integer not null,
    run_id varchar not null,
    source_file varchar,
    source_sheet varchar,
    source_row bigint,
    column_name varchar,
    value varchar,
    rule varchar,
    severity varchar,
    message varchar,
    remedy varchar,
    branch_set varchar not null
);
