-- records.equipment: one row a charge for equipment, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.equipment (
    season integer not null,
    branch varchar,
    use_date date not null,
    job_no varchar,
    kind varchar not null,
    amount decimal(26, 12) not null,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (amount >= 0)
);

comment on column records.equipment.season is
'year in which the season starts';

comment on column records.equipment.branch is
'the branch that used it';

comment on column records.equipment.use_date is
'the day of use';

comment on column records.equipment.job_no is
'the job; blank is shared';

comment on column records.equipment.kind is
'what it was';

comment on column records.equipment.amount is
'what it cost; unit: usd';

comment on column records.equipment.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.equipment.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.equipment.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.equipment.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.equipment (
    season integer not null,
    branch varchar,
    use_date date,
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

comment on table refused.equipment is
'one row a charge for equipment, rejected or held';

comment on column refused.equipment.season is
'year in which the season starts';

comment on column refused.equipment.branch is
'the branch that used it';

comment on column refused.equipment.use_date is
'the day of use';

comment on column refused.equipment.job_no is
'the job; blank is shared';

comment on column refused.equipment.kind is
'what it was';

comment on column refused.equipment.amount is
'what it cost; unit: usd';

comment on column refused.equipment.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.equipment.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.equipment.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.equipment.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.equipment.why is
'every reason why the row was not accepted';

comment on column refused.equipment.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
