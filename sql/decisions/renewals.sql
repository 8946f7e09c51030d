-- decisions.renewals: one row a kind of terms, with what a property's first and later seasons leave, and its worth
-- Means over the final jobs of the season that was closed, usd a job. What a season leaves is charged less cost,
-- overhead within it. Not discounted.
-- columns:
--   season: season to price
--   terms: leased or sold
--   first_jobs: new jobs
--   first_charged_usd: what one was charged
--   first_cost_usd: what it cost
--   first_goods_usd: goods built for it that later seasons bear
--   later_jobs: repeat jobs
--   later_charged_usd: what one was charged
--   later_cost_usd: what it cost
--   returned: properties of earlier seasons that came back the next one; null: not known
--   seen: properties of which that is known; null: none
--   return_rate: chance that a property comes back, 0 to 1; null: not known
--   low: lower 95 % limit of it
--   high: upper 95 % limit of it
--   later_seasons: seasons that follow the first on average: rate / (1 - rate)
--   worth_usd: what a new property leaves over its seasons
--   worth_low: the same at the worse limit of the rate
--   worth_high: the same at the better limit of the rate
--   paid_back_seasons: seasons until what is left has paid for the goods; null: never, or no goods are carried

create table if not exists decisions.renewals (
    season integer not null,
    terms varchar not null,
    first_jobs integer,
    first_charged_usd double,
    first_cost_usd double,
    first_goods_usd double,
    later_jobs integer,
    later_charged_usd double,
    later_cost_usd double,
    returned integer,
    seen integer,
    return_rate double,
    low double,
    high double,
    later_seasons double,
    worth_usd double,
    worth_low double,
    worth_high double,
    paid_back_seasons double,
    unique (season, terms)
);
