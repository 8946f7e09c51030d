-- decisions.price_outlook: one row a segment, with what the price that was charged promises for next season
-- columns:
--   season: season to price
--   segment: kind of work, as in decisions.price_table
--   jobs: jobs that it is made from
--   feet: their fastened feet
--   charged_usd_per_ft: mean price that was charged, usd a foot
--   chance_at_charged: chance that next season reaches the target margin at that price, 0 to 1
--   price_usd_per_ft: price advised, at a chance of 80 %, usd a foot
--   at_stake_usd: what these feet would have brought more at the price advised, usd; below 0 less

create table if not exists decisions.price_outlook (
    season integer not null,
    segment varchar not null,
    jobs integer,
    feet double,
    charged_usd_per_ft double,
    chance_at_charged double,
    price_usd_per_ft double,
    at_stake_usd double,
    unique (season, segment)
);
