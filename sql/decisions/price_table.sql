-- decisions.price_table: one row a segment and chance.
-- columns:
--   season: season to price
--   segment: kind of work that the price is for
--   chance: chance that the season reaches the target margin, 0 to 1
--   price_usd_per_ft: price, usd a foot
--   cost_usd_per_ft: expected cost, usd a foot
--   margin: margin at the expected cost: (price - cost) / price
--   low: lower 95 % limit that the jobs leave of the price before rounding, usd a foot
--   high: upper 95 % limit that the jobs leave of the price before rounding, usd a foot

create table if not exists decisions.price_table (
    season integer not null,
    segment varchar not null,
    chance double,
    price_usd_per_ft double,
    cost_usd_per_ft double,
    margin double,
    low double,
    high double,
    unique (season, segment, chance)
);
