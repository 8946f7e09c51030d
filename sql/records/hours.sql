-- records.hours: one row a worker, a day, a job and a task, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.hours (
    season integer not null,
    branch varchar,
    work_date date not null,
    job_no varchar,
    crew varchar not null,
    worker_no varchar not null,
    task varchar not null,
    hours decimal(26, 12) not null,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (
        task in (
            'prep', 'drive', 'install', 'service', 'takedown', 'storage', 'other_work', 'shop', 'training',
            'weather'
        )
    ),
    check (hours > 0),
    check (hours <= 24)
);

comment on column records.hours.season is
'year in which the season starts';

comment on column records.hours.branch is
'the branch of the job';

comment on column records.hours.work_date is
'the day worked';

comment on column records.hours.job_no is
'the job; blank is shop time';

comment on column records.hours.crew is
'the crew the worker was with';

comment on column records.hours.worker_no is
'the worker''s number';

comment on column records.hours.task is
'what was done; where not given: install';

comment on column records.hours.hours is
'paid person-hours; unit: h';

comment on column records.hours.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.hours.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.hours.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.hours.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.hours (
    season integer not null,
    branch varchar,
    work_date date,
    job_no varchar,
    crew varchar,
    worker_no varchar,
    task varchar,
    hours decimal(26, 12),
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.hours is
'one row a worker, a day, a job and a task, rejected or held';

comment on column refused.hours.season is
'year in which the season starts';

comment on column refused.hours.branch is
'the branch of the job';

comment on column refused.hours.work_date is
'the day worked';

comment on column refused.hours.job_no is
'the job; blank is shop time';

comment on column refused.hours.crew is
'the crew the worker was with';

comment on column refused.hours.worker_no is
'the worker''s number';

comment on column refused.hours.task is
'what was done; where not given: install';

comment on column refused.hours.hours is
'paid person-hours; unit: h';

comment on column refused.hours.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.hours.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.hours.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.hours.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.hours.why is
'every reason why the row was not accepted';

comment on column refused.hours.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
