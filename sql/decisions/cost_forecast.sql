-- decisions.cost_forecast: one row a part of a foot's cost, now and next season
-- columns:
--   season: season to price
--   part: labor, materials, travel, equipment, service, overhead or all
--   now_usd_per_ft: cost of the season that was closed, usd a foot
--   rise_share: by which share it is expected to change
--   next_usd_per_ft: expected cost of next season, usd a foot
--   why: where the change comes from

create table if not exists decisions.cost_forecast (
    season integer not null,
    part varchar not null,
    now_usd_per_ft double,
    rise_share double,
    next_usd_per_ft double,
    why varchar,
    unique (season, part)
);
