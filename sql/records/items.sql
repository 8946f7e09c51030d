-- records.items: one row a record of something that is bought, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.items (
    season integer not null,
    branch varchar,
    item_no varchar not null,
    kind varchar not null,
    unit varchar not null,
    pack_size decimal(26, 12) not null,
    pack_price decimal(26, 12) not null,
    spacing_in decimal(26, 12),
    watts decimal(26, 12),
    colour varchar,
    supplier varchar,
    socket varchar,
    wire varchar,
    gauge integer,
    volts decimal(26, 12),
    replaces varchar,
    life_seasons decimal(26, 12) not null,
    lead_days integer,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (
        kind in (
            'light_line', 'bulb', 'fastener', 'plug', 'inline_tap', 'zip_cord', 'timer', 'cap', 'sundry'
        )
    ),
    check (unit in ('ft', 'each')),
    check (pack_size > 0),
    check (pack_price > 0),
    check (spacing_in >= 2),
    check (spacing_in <= 48),
    check (watts >= 0),
    check (gauge >= 4),
    check (gauge <= 26),
    check (volts >= 0),
    check (volts <= 600),
    check (life_seasons > 0),
    check (life_seasons <= 50),
    check (lead_days >= 0),
    check (lead_days <= 400),
    unique (season, branch_set, item_no)
);

comment on column records.items.season is
'year in which the season starts';

comment on column records.items.branch is
'branch; blank means all branches';

comment on column records.items.item_no is
'the item''s number';

comment on column records.items.kind is
'kind of item';

comment on column records.items.unit is
'the unit it is counted in; one of ft, each';

comment on column records.items.pack_size is
'units in a pack (a spool''s feet, a case''s count)';

comment on column records.items.pack_price is
'price of a pack; unit: usd';

comment on column records.items.spacing_in is
'socket to socket, for light line; unit: in';

comment on column records.items.watts is
'watts each, for a bulb; unit: W';

comment on column records.items.colour is
'colour';

comment on column records.items.supplier is
'who sells it';

comment on column records.items.socket is
'socket size (C7, C9)';

comment on column records.items.wire is
'wire kind (SPT-1, SPT-2)';

comment on column records.items.gauge is
'wire gauge; unit: AWG';

comment on column records.items.volts is
'voltage; unit: V';

comment on column records.items.replaces is
'the item that this one replaces';

comment on column records.items.life_seasons is
'seasons that a leased item lasts; unit: seasons; where not given: 4';

comment on column records.items.lead_days is
'days from order to delivery; unit: days';

comment on column records.items.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.items.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.items.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.items.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.items (
    season integer not null,
    branch varchar,
    item_no varchar,
    kind varchar,
    unit varchar,
    pack_size decimal(26, 12),
    pack_price decimal(26, 12),
    spacing_in decimal(26, 12),
    watts decimal(26, 12),
    colour varchar,
    supplier varchar,
    socket varchar,
    wire varchar,
    gauge integer,
    volts decimal(26, 12),
    replaces varchar,
    life_seasons decimal(26, 12),
    lead_days integer,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.items is
'one row a record of something that is bought, rejected or held';

comment on column refused.items.season is
'year in which the season starts';

comment on column refused.items.branch is
'branch; blank means all branches';

comment on column refused.items.item_no is
'the item''s number';

comment on column refused.items.kind is
'kind of item';

comment on column refused.items.unit is
'the unit it is counted in; one of ft, each';

comment on column refused.items.pack_size is
'units in a pack (a spool''s feet, a case''s count)';

comment on column refused.items.pack_price is
'price of a pack; unit: usd';

comment on column refused.items.spacing_in is
'socket to socket, for light line; unit: in';

comment on column refused.items.watts is
'watts each, for a bulb; unit: W';

comment on column refused.items.colour is
'colour';

comment on column refused.items.supplier is
'who sells it';

comment on column refused.items.socket is
'socket size (C7, C9)';

comment on column refused.items.wire is
'wire kind (SPT-1, SPT-2)';

comment on column refused.items.gauge is
'wire gauge; unit: AWG';

comment on column refused.items.volts is
'voltage; unit: V';

comment on column refused.items.replaces is
'the item that this one replaces';

comment on column refused.items.life_seasons is
'seasons that a leased item lasts; unit: seasons; where not given: 4';

comment on column refused.items.lead_days is
'days from order to delivery; unit: days';

comment on column refused.items.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.items.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.items.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.items.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.items.why is
'every reason why the row was not accepted';

comment on column refused.items.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
