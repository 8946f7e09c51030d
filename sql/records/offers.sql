-- records.offers: one row a price offered for next season, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.offers (
    season integer not null,
    branch varchar,
    item_no varchar not null,
    pack_size decimal(26, 12) not null,
    pack_price decimal(26, 12) not null,
    min_packs integer not null,
    order_by date,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (pack_size > 0),
    check (pack_price > 0),
    check (min_packs >= 1)
);

comment on column records.offers.season is
'year in which the season starts';

comment on column records.offers.branch is
'branch; blank means all branches';

comment on column records.offers.item_no is
'the item';

comment on column records.offers.pack_size is
'units in a pack';

comment on column records.offers.pack_price is
'price of a pack; unit: usd';

comment on column records.offers.min_packs is
'fewest packs at this price; where not given: 1';

comment on column records.offers.order_by is
'last day of the offer';

comment on column records.offers.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.offers.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.offers.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.offers.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.offers (
    season integer not null,
    branch varchar,
    item_no varchar,
    pack_size decimal(26, 12),
    pack_price decimal(26, 12),
    min_packs integer,
    order_by date,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.offers is
'one row a price offered for next season, rejected or held';

comment on column refused.offers.season is
'year in which the season starts';

comment on column refused.offers.branch is
'branch; blank means all branches';

comment on column refused.offers.item_no is
'the item';

comment on column refused.offers.pack_size is
'units in a pack';

comment on column refused.offers.pack_price is
'price of a pack; unit: usd';

comment on column refused.offers.min_packs is
'fewest packs at this price; where not given: 1';

comment on column refused.offers.order_by is
'last day of the offer';

comment on column refused.offers.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.offers.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.offers.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.offers.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.offers.why is
'every reason why the row was not accepted';

comment on column refused.offers.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
