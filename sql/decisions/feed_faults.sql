-- decisions.feed_faults: one row a season: failed points of houses with a loaded feed, against the rest.
-- A fault names its house and not its feed, so that houses are compared. An association, not what splitting would mend.
-- columns:
--   season: year in which the season starts
--   loaded_jobs: houses with a feed over a limit
--   loaded_points: failed points of their connections
--   loaded_nights: their connection-nights
--   other_jobs: houses whose feeds are all within the limits
--   other_points: failed points of their connections
--   other_nights: their connection-nights
--   ratio: failed points a connection-night of loaded houses / of the others; null where the others had none
--   low: lower 95 % limit of ratio, exact conditional binomial, widened where faults cluster
--   high: upper 95 % limit of ratio; null where it has no end
--   widening: by how much clusters widen the limits; 1 leaves them exact

create table if not exists decisions.feed_faults (
    season integer not null,
    loaded_jobs bigint,
    loaded_points bigint,
    loaded_nights bigint,
    other_jobs bigint,
    other_points bigint,
    other_nights bigint,
    ratio double,
    low double,
    high double,
    widening double,
    unique (season)
);
