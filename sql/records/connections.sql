-- records.connections: one row a kind of connection point on a job, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.connections (
    season integer not null,
    branch varchar not null,
    job_no varchar not null,
    kind varchar not null,
    count integer not null,
    item_no varchar,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (kind in ('plug', 'inline_tap', 'splice', 'taped_socket', 'capped_socket', 'timer', 'cord_joint')),
    check (count >= 0),
    check (count <= 5000)
);

comment on column records.connections.season is
'year in which the season starts';

comment on column records.connections.branch is
'the branch of the job';

comment on column records.connections.job_no is
'the job';

comment on column records.connections.kind is
'kind of point';

comment on column records.connections.count is
'how many points of this kind the job has; unit: each';

comment on column records.connections.item_no is
'the item it is made with';

comment on column records.connections.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.connections.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.connections.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.connections.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.connections (
    season integer not null,
    branch varchar,
    job_no varchar,
    kind varchar,
    count integer,
    item_no varchar,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.connections is
'one row a kind of connection point on a job, rejected or held';

comment on column refused.connections.season is
'year in which the season starts';

comment on column refused.connections.branch is
'the branch of the job';

comment on column refused.connections.job_no is
'the job';

comment on column refused.connections.kind is
'kind of point';

comment on column refused.connections.count is
'how many points of this kind the job has; unit: each';

comment on column refused.connections.item_no is
'the item it is made with';

comment on column refused.connections.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.connections.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.connections.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.connections.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.connections.why is
'every reason why the row was not accepted';

comment on column refused.connections.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
