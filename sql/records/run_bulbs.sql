-- records.run_bulbs: one row a bulb's share of a run with alternating colours, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.run_bulbs (
    season integer not null,
    branch varchar not null,
    job_no varchar not null,
    run_no varchar not null,
    bulb_item varchar not null,
    share decimal(26, 12) not null,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (share > 0),
    check (share <= 1),
    unique (season, branch, job_no, run_no, bulb_item)
);

comment on column records.run_bulbs.season is
'year in which the season starts';

comment on column records.run_bulbs.branch is
'the branch of the job';

comment on column records.run_bulbs.job_no is
'the job';

comment on column records.run_bulbs.run_no is
'the run';

comment on column records.run_bulbs.bulb_item is
'item number of the bulb';

comment on column records.run_bulbs.share is
'the bulb''s share of the run''s sockets; the shares of a run sum to 1';

comment on column records.run_bulbs.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.run_bulbs.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.run_bulbs.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.run_bulbs.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.run_bulbs (
    season integer not null,
    branch varchar,
    job_no varchar,
    run_no varchar,
    bulb_item varchar,
    share decimal(26, 12),
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.run_bulbs is
'one row a bulb''s share of a run with alternating colours, rejected or held';

comment on column refused.run_bulbs.season is
'year in which the season starts';

comment on column refused.run_bulbs.branch is
'the branch of the job';

comment on column refused.run_bulbs.job_no is
'the job';

comment on column refused.run_bulbs.run_no is
'the run';

comment on column refused.run_bulbs.bulb_item is
'item number of the bulb';

comment on column refused.run_bulbs.share is
'the bulb''s share of the run''s sockets; the shares of a run sum to 1';

comment on column refused.run_bulbs.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.run_bulbs.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.run_bulbs.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.run_bulbs.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.run_bulbs.why is
'every reason why the row was not accepted';

comment on column refused.run_bulbs.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
