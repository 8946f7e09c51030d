-- decisions.cost_limits: one row a limit that follows from the cost function at the season's mean price
-- Limits are 95 % percentile limits of a bootstrap over jobs.
-- columns:
--   season: season whose jobs it is made from
--   what: going_there (cost of a job before its first foot), mean_foot (cost of the season's mean foot beyond that),
--     minimum_charge (going_there at the target margin), break_even_size (size below which a job at the mean price a
--     foot loses money) or target_size (size below which it leaves less than the target margin)
--   unit: usd, usd/ft or ft
--   value: the limit; null: without bound, the mean price does not pay for the mean foot
--   low: lower limit of it
--   high: upper limit of it; null: without bound

create table if not exists decisions.cost_limits (
    season integer not null,
    what varchar not null,
    unit varchar,
    value double,
    low double,
    high double,
    unique (season, what)
);
