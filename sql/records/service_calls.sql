-- records.service_calls: one row a fault attended, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.service_calls (
    season integer not null,
    branch varchar not null,
    call_no varchar not null,
    job_no varchar not null,
    call_date date not null,
    fixed_date date,
    cause varchar not null,
    connection_kind varchar,
    chargeable boolean,
    points integer not null,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (
        cause in (
            'dead_bulb', 'loose_bulb', 'socket', 'plug', 'splice', 'cut_wire', 'gfci_trip', 'breaker_trip',
            'timer', 'fastener', 'water', 'animal', 'customer', 'other'
        )
    ),
    check (
        connection_kind in (
            'plug', 'inline_tap', 'splice', 'taped_socket', 'capped_socket', 'timer', 'cord_joint', 'none'
        )
    ),
    check (points >= 0),
    check (points <= 5000),
    unique (season, branch, call_no)
);

comment on column records.service_calls.season is
'year in which the season starts';

comment on column records.service_calls.branch is
'the branch of the job';

comment on column records.service_calls.call_no is
'the call''s number, unique in season';

comment on column records.service_calls.job_no is
'the job';

comment on column records.service_calls.call_date is
'the day the fault was reported';

comment on column records.service_calls.fixed_date is
'the day it was mended; blank while open';

comment on column records.service_calls.cause is
'what had gone wrong';

comment on column records.service_calls.connection_kind is
'kind of the point at fault; none: not at a connection; blank: not known';

comment on column records.service_calls.chargeable is
'whether the customer is charged';

comment on column records.service_calls.points is
'how many points failed; unit: each; where not given: 1';

comment on column records.service_calls.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.service_calls.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.service_calls.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.service_calls.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.service_calls (
    season integer not null,
    branch varchar,
    call_no varchar,
    job_no varchar,
    call_date date,
    fixed_date date,
    cause varchar,
    connection_kind varchar,
    chargeable boolean,
    points integer,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.service_calls is
'one row a fault attended, rejected or held';

comment on column refused.service_calls.season is
'year in which the season starts';

comment on column refused.service_calls.branch is
'the branch of the job';

comment on column refused.service_calls.call_no is
'the call''s number, unique in season';

comment on column refused.service_calls.job_no is
'the job';

comment on column refused.service_calls.call_date is
'the day the fault was reported';

comment on column refused.service_calls.fixed_date is
'the day it was mended; blank while open';

comment on column refused.service_calls.cause is
'what had gone wrong';

comment on column refused.service_calls.connection_kind is
'kind of the point at fault; none: not at a connection; blank: not known';

comment on column refused.service_calls.chargeable is
'whether the customer is charged';

comment on column refused.service_calls.points is
'how many points failed; unit: each; where not given: 1';

comment on column refused.service_calls.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.service_calls.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.service_calls.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.service_calls.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.service_calls.why is
'every reason why the row was not accepted';

comment on column refused.service_calls.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
