-- records.materials: one row a record of goods moved to or from a job, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.materials (
    season integer not null,
    branch varchar,
    job_no varchar,
    item_no varchar not null,
    moved varchar not null,
    quantity decimal(26, 12) not null,
    unit varchar,
    move_date date,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (moved in ('issued', 'returned', 'scrapped')),
    check (quantity > 0),
    check (unit in ('ft', 'each', 'pack', 'spool', 'case', 'dozen'))
);

comment on column records.materials.season is
'year in which the season starts';

comment on column records.materials.branch is
'the branch of the job';

comment on column records.materials.job_no is
'the job; blank is the shop';

comment on column records.materials.item_no is
'the item';

comment on column records.materials.moved is
'which way the goods went; one of issued, returned, scrapped';

comment on column records.materials.quantity is
'how much, in the unit beside it';

comment on column records.materials.unit is
'unit of the quantity; one of ft, each, pack, spool, case, dozen; where not given: the item''s unit';

comment on column records.materials.move_date is
'the day they moved';

comment on column records.materials.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.materials.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.materials.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.materials.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.materials (
    season integer not null,
    branch varchar,
    job_no varchar,
    item_no varchar,
    moved varchar,
    quantity decimal(26, 12),
    unit varchar,
    move_date date,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.materials is
'one row a record of goods moved to or from a job, rejected or held';

comment on column refused.materials.season is
'year in which the season starts';

comment on column refused.materials.branch is
'the branch of the job';

comment on column refused.materials.job_no is
'the job; blank is the shop';

comment on column refused.materials.item_no is
'the item';

comment on column refused.materials.moved is
'which way the goods went; one of issued, returned, scrapped';

comment on column refused.materials.quantity is
'how much, in the unit beside it';

comment on column refused.materials.unit is
'unit of the quantity; one of ft, each, pack, spool, case, dozen; where not given: the item''s unit';

comment on column refused.materials.move_date is
'the day they moved';

comment on column refused.materials.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.materials.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.materials.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.materials.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.materials.why is
'every reason why the row was not accepted';

comment on column refused.materials.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
