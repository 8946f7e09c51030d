-- records.receipts: one row a record of money received from or paid back to a customer, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.receipts (
    season integer not null,
    branch varchar,
    received date not null,
    job_no varchar,
    kind varchar not null,
    amount decimal(26, 12) not null,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (kind in ('deposit', 'balance', 'refund', 'fee')),
    check (amount >= 0)
);

comment on column records.receipts.season is
'year in which the season starts';

comment on column records.receipts.branch is
'the branch of the job';

comment on column records.receipts.received is
'the day';

comment on column records.receipts.job_no is
'the job';

comment on column records.receipts.kind is
'kind of receipt; one of deposit, balance, refund, fee';

comment on column records.receipts.amount is
'the amount; unit: usd';

comment on column records.receipts.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.receipts.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.receipts.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.receipts.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.receipts (
    season integer not null,
    branch varchar,
    received date,
    job_no varchar,
    kind varchar,
    amount decimal(26, 12),
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.receipts is
'one row a record of money received from or paid back to a customer, rejected or held';

comment on column refused.receipts.season is
'year in which the season starts';

comment on column refused.receipts.branch is
'the branch of the job';

comment on column refused.receipts.received is
'the day';

comment on column refused.receipts.job_no is
'the job';

comment on column refused.receipts.kind is
'kind of receipt; one of deposit, balance, refund, fee';

comment on column refused.receipts.amount is
'the amount; unit: usd';

comment on column refused.receipts.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.receipts.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.receipts.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.receipts.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.receipts.why is
'every reason why the row was not accepted';

comment on column refused.receipts.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
