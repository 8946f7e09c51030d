-- records.purchases: one row a record of goods bought, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.purchases (
    season integer not null,
    branch varchar,
    item_no varchar not null,
    bought_date date not null,
    packs decimal(26, 12) not null,
    pack_size decimal(26, 12) not null,
    paid decimal(26, 12) not null,
    freight decimal(26, 12),
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (packs > 0),
    check (pack_size > 0),
    check (paid >= 0),
    check (freight >= 0)
);

comment on column records.purchases.season is
'year in which the season starts';

comment on column records.purchases.branch is
'the branch that bought';

comment on column records.purchases.item_no is
'the item';

comment on column records.purchases.bought_date is
'the day of purchase';

comment on column records.purchases.packs is
'packs bought';

comment on column records.purchases.pack_size is
'units in a pack';

comment on column records.purchases.paid is
'paid for the goods; unit: usd';

comment on column records.purchases.freight is
'freight paid; unit: usd';

comment on column records.purchases.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.purchases.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.purchases.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.purchases.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.purchases (
    season integer not null,
    branch varchar,
    item_no varchar,
    bought_date date,
    packs decimal(26, 12),
    pack_size decimal(26, 12),
    paid decimal(26, 12),
    freight decimal(26, 12),
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.purchases is
'one row a record of goods bought, rejected or held';

comment on column refused.purchases.season is
'year in which the season starts';

comment on column refused.purchases.branch is
'the branch that bought';

comment on column refused.purchases.item_no is
'the item';

comment on column refused.purchases.bought_date is
'the day of purchase';

comment on column refused.purchases.packs is
'packs bought';

comment on column refused.purchases.pack_size is
'units in a pack';

comment on column refused.purchases.paid is
'paid for the goods; unit: usd';

comment on column refused.purchases.freight is
'freight paid; unit: usd';

comment on column refused.purchases.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.purchases.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.purchases.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.purchases.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.purchases.why is
'every reason why the row was not accepted';

comment on column refused.purchases.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
