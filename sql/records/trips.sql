-- records.trips: one row a crew's day on the road, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.trips (
    season integer not null,
    branch varchar,
    trip_date date not null,
    crew varchar not null,
    miles decimal(26, 12) not null,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (miles >= 0),
    check (miles <= 2000)
);

comment on column records.trips.season is
'year in which the season starts';

comment on column records.trips.branch is
'the crew''s branch';

comment on column records.trips.trip_date is
'the day';

comment on column records.trips.crew is
'the crew';

comment on column records.trips.miles is
'the day''s odometer miles; unit: miles';

comment on column records.trips.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.trips.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.trips.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.trips.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.trips (
    season integer not null,
    branch varchar,
    trip_date date,
    crew varchar,
    miles decimal(26, 12),
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.trips is
'one row a crew''s day on the road, rejected or held';

comment on column refused.trips.season is
'year in which the season starts';

comment on column refused.trips.branch is
'the crew''s branch';

comment on column refused.trips.trip_date is
'the day';

comment on column refused.trips.crew is
'the crew';

comment on column refused.trips.miles is
'the day''s odometer miles; unit: miles';

comment on column refused.trips.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.trips.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.trips.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.trips.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.trips.why is
'every reason why the row was not accepted';

comment on column refused.trips.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
