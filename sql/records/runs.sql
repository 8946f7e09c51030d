-- records.runs: one row a continuous piece of light line on one kind of surface, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.runs (
    season integer not null,
    branch varchar not null,
    job_no varchar not null,
    run_no varchar not null,
    surface varchar not null,
    feet decimal(26, 12) not null,
    spacing_in decimal(26, 12) not null,
    line_item varchar not null,
    bulb_item varchar not null,
    fastener_item varchar,
    fasteners integer,
    feed varchar,
    circuit varchar,
    sockets integer,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (surface in ('gutter', 'shingle', 'ridge', 'masonry', 'trim', 'ground', 'other')),
    check (feet > 0),
    check (feet <= 2000),
    check (spacing_in >= 2),
    check (spacing_in <= 48),
    check (fasteners >= 0),
    check (sockets >= 0),
    unique (season, branch, job_no, run_no)
);

comment on column records.runs.season is
'year in which the season starts';

comment on column records.runs.branch is
'the branch of the job';

comment on column records.runs.job_no is
'the job';

comment on column records.runs.run_no is
'the run''s number within its job';

comment on column records.runs.surface is
'what the run is fastened to';

comment on column records.runs.feet is
'fastened length; unit: ft';

comment on column records.runs.spacing_in is
'socket to socket; unit: in';

comment on column records.runs.line_item is
'item number of the light line';

comment on column records.runs.bulb_item is
'item number of the bulb';

comment on column records.runs.fastener_item is
'item number of the fastener';

comment on column records.runs.fasteners is
'fasteners used; unit: each; where not given: one a socket';

comment on column records.runs.feed is
'the supply plug that this run hangs on, within the job';

comment on column records.runs.circuit is
'the branch circuit of the house that feeds this run, within the job';

comment on column records.runs.sockets is
'sockets on the run; unit: each; where not given: floor(feet x 12 / spacing)';

comment on column records.runs.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.runs.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.runs.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.runs.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.runs (
    season integer not null,
    branch varchar,
    job_no varchar,
    run_no varchar,
    surface varchar,
    feet decimal(26, 12),
    spacing_in decimal(26, 12),
    line_item varchar,
    bulb_item varchar,
    fastener_item varchar,
    fasteners integer,
    feed varchar,
    circuit varchar,
    sockets integer,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.runs is
'one row a continuous piece of light line on one kind of surface, rejected or held';

comment on column refused.runs.season is
'year in which the season starts';

comment on column refused.runs.branch is
'the branch of the job';

comment on column refused.runs.job_no is
'the job';

comment on column refused.runs.run_no is
'the run''s number within its job';

comment on column refused.runs.surface is
'what the run is fastened to';

comment on column refused.runs.feet is
'fastened length; unit: ft';

comment on column refused.runs.spacing_in is
'socket to socket; unit: in';

comment on column refused.runs.line_item is
'item number of the light line';

comment on column refused.runs.bulb_item is
'item number of the bulb';

comment on column refused.runs.fastener_item is
'item number of the fastener';

comment on column refused.runs.fasteners is
'fasteners used; unit: each; where not given: one a socket';

comment on column refused.runs.feed is
'the supply plug that this run hangs on, within the job';

comment on column refused.runs.circuit is
'the branch circuit of the house that feeds this run, within the job';

comment on column refused.runs.sockets is
'sockets on the run; unit: each; where not given: floor(feet x 12 / spacing)';

comment on column refused.runs.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.runs.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.runs.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.runs.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.runs.why is
'every reason why the row was not accepted';

comment on column refused.runs.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
