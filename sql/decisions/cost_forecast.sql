-- decisions.cost_forecast: one row a kind of work and part of a foot's cost, now and next season
-- columns:
--   season: season to price
--   segment: kind of work, or all
--   part: labor, materials, travel, equipment, service, overhead or all
--   now_usd_per_ft: cost of the season that was closed, usd a foot
--   rise_share: by which share it is expected to change
--   next_usd_per_ft: expected cost of next season, usd a foot
--   low: lower 95 % limit of next season's cost, of the part all alone, usd a foot
--   high: upper 95 % limit of it, usd a foot
--   why: where the change comes from

create table if not exists decisions.cost_forecast (
    season integer not null,
    segment varchar not null,
    part varchar not null,
    now_usd_per_ft double,
    rise_share double,
    next_usd_per_ft double,
    low double,
    high double,
    why varchar,
    unique (season, segment, part)
);
