-- decisions.price_moves: one row a cause that moves the price, over the range in which it lay
-- P10 and P90 are over the weeks of the season that was closed, by feet; of returning properties they are the ends of
-- an 80 % interval. All else stays as it is.
-- columns:
--   season: season to price
--   cause: what moves the price
--   unit: unit of the cause
--   now: the cause over the whole season
--   low: its P10; null: too few weeks with jobs enough
--   high: its P90
--   price_at_low: price advised if the cause were at its P10, usd a foot
--   price_at_high: price advised if it were at its P90, usd a foot
--   price_at_tenth_more: price advised if it were a tenth more, usd a foot
--   why: the part of cost through which it moves the price

create table if not exists decisions.price_moves (
    season integer not null,
    cause varchar not null,
    unit varchar,
    now double,
    low double,
    high double,
    price_at_low double,
    price_at_high double,
    price_at_tenth_more double,
    why varchar,
    unique (season, cause)
);
