-- reference.settings: one row a setting in force for a season.
-- columns:
--   season: year in which the season starts
--   setting: name of the setting, with its key after a colon where it has one
--   value: its value as text
--   origin: given, or the source of the default

create table if not exists reference.settings (
    season integer not null,
    setting varchar not null,
    value varchar,
    origin varchar,
    unique (season, setting)
);
