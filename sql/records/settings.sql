-- records.settings: one row a setting of the firm, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.settings (
    season integer not null,
    branch varchar,
    setting varchar not null,
    value varchar not null,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    unique (season, branch_set, setting)
);

comment on column records.settings.season is
'year in which the season starts';

comment on column records.settings.branch is
'branch; blank means all branches';

comment on column records.settings.setting is
'the setting''s name, as in the settings'' list';

comment on column records.settings.value is
'its value';

comment on column records.settings.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.settings.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.settings.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.settings.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.settings (
    season integer not null,
    branch varchar,
    setting varchar,
    value varchar,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.settings is
'one row a setting of the firm, rejected or held';

comment on column refused.settings.season is
'year in which the season starts';

comment on column refused.settings.branch is
'branch; blank means all branches';

comment on column refused.settings.setting is
'the setting''s name, as in the settings'' list';

comment on column refused.settings.value is
'its value';

comment on column refused.settings.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.settings.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.settings.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.settings.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.settings.why is
'every reason why the row was not accepted';

comment on column refused.settings.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
