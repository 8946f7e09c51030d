-- measures.connection_failures: one row a season, branch and kind of connection.
-- The counts come from facts.connection_counts; the exact limits are added to them when a season is closed.
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
--   low: lower 95 % limit of per_1000_connection_nights, exact Poisson
--   high: upper 95 % limit of per_1000_connection_nights, exact Poisson

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
    high double
);
