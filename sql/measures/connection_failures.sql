-- measures.connection_failures: one row a season, branch and kind of connection.
-- The counts come from facts.connection_counts; rates and limits are added to them when a season is closed.
-- columns:
--   season: year in which the season starts
--   branch: branch; all for the firm
--   kind: kind of connection; all for every kind
--   connections: connections built
--   connection_nights: connections x lit nights, less the nights that failed points were down
--   failed_points: failed points of this kind
--   unknown_kind_points: failed points whose kind of connection is not known
--   per_connection: failed_points / connections; null without connections
--   per_1000_connection_nights: failed_points / connection_nights x 1000; null without connection-nights
--   low: lower 95 % limit of per_1000_connection_nights, exact Poisson, widened by widening
--   high: upper 95 % limit of per_1000_connection_nights, exact Poisson, widened by widening
--   widening: how many times as much as Poisson counts the kind's failures spread over jobs; 1 leaves the limits exact
--   most_per_1000: the rate if every failed point of unknown kind were of this kind; the least is the rate itself
--   pooled: per_1000_connection_nights drawn toward the rate of all kinds; null for all, and without two kinds
--   pooled_low: lower 95 % limit of pooled
--   pooled_high: upper 95 % limit of pooled

create table if not exists measures.connection_failures (
    season integer not null,
    branch varchar not null,
    kind varchar not null,
    connections bigint,
    connection_nights bigint,
    failed_points bigint,
    unknown_kind_points bigint,
    per_connection double,
    per_1000_connection_nights double,
    low double,
    high double,
    widening double,
    most_per_1000 double,
    pooled double,
    pooled_low double,
    pooled_high double
);
