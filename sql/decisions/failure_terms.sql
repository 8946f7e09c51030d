-- decisions.failure_terms: one row a term of the season's failures: by how much it multiplies them, the others equal.
-- A Poisson regression with connection-nights as exposure; limits allow for failures that go together on a job.
-- columns:
--   season: year in which the season starts
--   term: kind, surface or age
--   level: the kind or the surface; each season since the lines were cut
--   against: the kind or the surface that it is held against; one season less
--   failed_points: failed points of the level; null for age
--   multiplier: failures per connection-night of level / of against, the other terms equal
--   low: lower 95 % limit of multiplier
--   high: upper 95 % limit of multiplier

create table if not exists decisions.failure_terms (
    season integer not null,
    term varchar not null,
    level varchar not null,
    against varchar not null,
    failed_points bigint,
    multiplier double,
    low double,
    high double,
    unique (season, term, level)
);
