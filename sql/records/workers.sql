-- records.workers: one row a worker, and one a raise, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.workers (
    season integer not null,
    branch varchar,
    worker_no varchar not null,
    role varchar,
    engaged varchar not null,
    hourly_wage decimal(26, 12),
    from_date date,
    paid_before decimal(26, 12),
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (engaged in ('employee', 'owner', 'subcontract')),
    check (hourly_wage > 0),
    check (paid_before >= 0)
);

create unique index if not exists workers_key
on records.workers (season, branch_set, worker_no, coalesce(from_date, date '0001-01-01'));

comment on column records.workers.season is
'year in which the season starts';

comment on column records.workers.branch is
'the worker''s branch';

comment on column records.workers.worker_no is
'the worker''s number';

comment on column records.workers.role is
'the worker''s role, for workers'' compensation';

comment on column records.workers.engaged is
'how the worker is engaged; one of employee, owner, subcontract; where not given: employee';

comment on column records.workers.hourly_wage is
'hourly wage from that day; unit: usd/h';

comment on column records.workers.from_date is
'first day of this wage; blank means always';

comment on column records.workers.paid_before is
'pay from this firm earlier in the calendar year, for wage bases; unit: usd';

comment on column records.workers.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.workers.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.workers.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.workers.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.workers (
    season integer not null,
    branch varchar,
    worker_no varchar,
    role varchar,
    engaged varchar,
    hourly_wage decimal(26, 12),
    from_date date,
    paid_before decimal(26, 12),
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.workers is
'one row a worker, and one a raise, rejected or held';

comment on column refused.workers.season is
'year in which the season starts';

comment on column refused.workers.branch is
'the worker''s branch';

comment on column refused.workers.worker_no is
'the worker''s number';

comment on column refused.workers.role is
'the worker''s role, for workers'' compensation';

comment on column refused.workers.engaged is
'how the worker is engaged; one of employee, owner, subcontract; where not given: employee';

comment on column refused.workers.hourly_wage is
'hourly wage from that day; unit: usd/h';

comment on column refused.workers.from_date is
'first day of this wage; blank means always';

comment on column refused.workers.paid_before is
'pay from this firm earlier in the calendar year, for wage bases; unit: usd';

comment on column refused.workers.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.workers.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.workers.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.workers.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.workers.why is
'every reason why the row was not accepted';

comment on column refused.workers.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
