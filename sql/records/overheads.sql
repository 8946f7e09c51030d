-- records.overheads: one row an overhead of the season, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.overheads (
    season integer not null,
    branch varchar,
    what varchar not null,
    amount decimal(26, 12) not null,
    basis varchar not null,
    behaves varchar not null,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (amount >= 0),
    check (basis in ('feet', 'hours', 'revenue', 'jobs')),
    check (behaves in ('fixed', 'variable'))
);

comment on column records.overheads.season is
'year in which the season starts';

comment on column records.overheads.branch is
'the branch that bears it; blank is all';

comment on column records.overheads.what is
'what it was for';

comment on column records.overheads.amount is
'the season''s amount; unit: usd';

comment on column records.overheads.basis is
'how it is spread over the jobs; one of feet, hours, revenue, jobs';

comment on column records.overheads.behaves is
'whether it grows with the work; one of fixed, variable; where not given: fixed';

comment on column records.overheads.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.overheads.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.overheads.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.overheads.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.overheads (
    season integer not null,
    branch varchar,
    what varchar,
    amount decimal(26, 12),
    basis varchar,
    behaves varchar,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.overheads is
'one row an overhead of the season, rejected or held';

comment on column refused.overheads.season is
'year in which the season starts';

comment on column refused.overheads.branch is
'the branch that bears it; blank is all';

comment on column refused.overheads.what is
'what it was for';

comment on column refused.overheads.amount is
'the season''s amount; unit: usd';

comment on column refused.overheads.basis is
'how it is spread over the jobs; one of feet, hours, revenue, jobs';

comment on column refused.overheads.behaves is
'whether it grows with the work; one of fixed, variable; where not given: fixed';

comment on column refused.overheads.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.overheads.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.overheads.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.overheads.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.overheads.why is
'every reason why the row was not accepted';

comment on column refused.overheads.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
