-- records.pay: one row a record of pay other than by the hour, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.pay (
    season integer not null,
    branch varchar,
    worker_no varchar,
    from_date date not null,
    to_date date not null,
    kind varchar not null,
    amount decimal(26, 12) not null,
    job_no varchar,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (kind in ('bonus', 'piece', 'day', 'subcontract')),
    check (amount >= 0)
);

comment on column records.pay.season is
'year in which the season starts';

comment on column records.pay.branch is
'the branch that paid';

comment on column records.pay.worker_no is
'the worker''s number; blank for a firm paid as subcontract';

comment on column records.pay.from_date is
'first day that the pay is for';

comment on column records.pay.to_date is
'last day that the pay is for';

comment on column records.pay.kind is
'kind of pay; one of bonus, piece, day, subcontract';

comment on column records.pay.amount is
'what was paid; unit: usd';

comment on column records.pay.job_no is
'the job it was paid for';

comment on column records.pay.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.pay.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.pay.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.pay.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.pay (
    season integer not null,
    branch varchar,
    worker_no varchar,
    from_date date,
    to_date date,
    kind varchar,
    amount decimal(26, 12),
    job_no varchar,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.pay is
'one row a record of pay other than by the hour, rejected or held';

comment on column refused.pay.season is
'year in which the season starts';

comment on column refused.pay.branch is
'the branch that paid';

comment on column refused.pay.worker_no is
'the worker''s number; blank for a firm paid as subcontract';

comment on column refused.pay.from_date is
'first day that the pay is for';

comment on column refused.pay.to_date is
'last day that the pay is for';

comment on column refused.pay.kind is
'kind of pay; one of bonus, piece, day, subcontract';

comment on column refused.pay.amount is
'what was paid; unit: usd';

comment on column refused.pay.job_no is
'the job it was paid for';

comment on column refused.pay.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.pay.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.pay.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.pay.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.pay.why is
'every reason why the row was not accepted';

comment on column refused.pay.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
