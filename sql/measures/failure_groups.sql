-- measures.failure_groups: one row a season and crew, or season and surface: their failures against those due to them.
-- Written when a season is closed, from facts.connection_weeks. Failures due are those that the same kinds had in the
-- same weeks over all jobs. A job counts with the surface that most of its feet are on.
-- columns:
--   season: year in which the season starts
--   view: crew or surface
--   branch: branch of the crew; all for surfaces
--   name: the crew or the surface
--   jobs: jobs with connections
--   connection_nights: connection-nights
--   failed_points: failed points
--   per_1000_connection_nights: failed_points / connection_nights x 1000; null without connection-nights
--   low: lower 95 % limit of it, exact Poisson, widened by widening
--   high: upper 95 % limit of it, exact Poisson, widened by widening
--   widening: how many times as much as Poisson counts the failures spread over jobs; 1 leaves the limits exact
--   expected_points: failed points that the same kinds had in the same weeks over all jobs
--   ratio: failed_points / expected_points
--   ratio_low: lower 95 % limit of ratio, of the group's share of all failures (mid-P), widened by all groups' spread
--   ratio_high: upper 95 % limit of ratio, widened alike
--   pooled_ratio: ratio drawn toward that of all; null where fewer than two can be pooled
--   pooled_low: lower 95 % limit of pooled_ratio
--   pooled_high: upper 95 % limit of pooled_ratio

create table if not exists measures.failure_groups (
    season integer not null,
    view varchar not null,
    branch varchar not null,
    name varchar not null,
    jobs bigint,
    connection_nights double,
    failed_points bigint,
    per_1000_connection_nights double,
    low double,
    high double,
    widening double,
    expected_points double,
    ratio double,
    ratio_low double,
    ratio_high double,
    pooled_ratio double,
    pooled_low double,
    pooled_high double,
    unique (season, view, branch, name)
);
