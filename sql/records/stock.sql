-- records.stock: one row a count of an item on hand, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.stock (
    season integer not null,
    branch varchar,
    item_no varchar not null,
    on_hand decimal(26, 12) not null,
    condition varchar not null,
    counted_on date,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (on_hand >= 0),
    check (condition in ('usable', 'doubtful'))
);

comment on column records.stock.season is
'year in which the season starts';

comment on column records.stock.branch is
'the branch that counted';

comment on column records.stock.item_no is
'the item';

comment on column records.stock.on_hand is
'how much is on hand, in the item''s unit';

comment on column records.stock.condition is
'condition; one of usable, doubtful; where not given: usable';

comment on column records.stock.counted_on is
'the day of the count';

comment on column records.stock.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.stock.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.stock.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.stock.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.stock (
    season integer not null,
    branch varchar,
    item_no varchar,
    on_hand decimal(26, 12),
    condition varchar,
    counted_on date,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.stock is
'one row a count of an item on hand, rejected or held';

comment on column refused.stock.season is
'year in which the season starts';

comment on column refused.stock.branch is
'the branch that counted';

comment on column refused.stock.item_no is
'the item';

comment on column refused.stock.on_hand is
'how much is on hand, in the item''s unit';

comment on column refused.stock.condition is
'condition; one of usable, doubtful; where not given: usable';

comment on column refused.stock.counted_on is
'the day of the count';

comment on column refused.stock.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.stock.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.stock.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.stock.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.stock.why is
'every reason why the row was not accepted';

comment on column refused.stock.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
