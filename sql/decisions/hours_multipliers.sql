-- decisions.hours_multipliers: one row a thing about a house that makes its hours more or fewer.
-- Within crews: what the same crew took with it against without it, all else equal.
-- columns:
--   season: year in which the season starts
--   term: the term of the model of hours
--   what: what the multiplier is of, in words
--   multiplier: times the prep and install hours
--   low: lower 95 % limit of multiplier; jobs of a day count together
--   high: upper 95 % limit of multiplier; jobs of a day count together
--   jobs: jobs behind it

create table if not exists decisions.hours_multipliers (
    season integer not null,
    term varchar not null,
    what varchar,
    multiplier double,
    low double,
    high double,
    jobs bigint,
    unique (season, term)
);
