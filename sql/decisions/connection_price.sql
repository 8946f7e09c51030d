-- decisions.connection_price: one row a kind of connection.
-- columns:
--   season: year in which the season starts
--   kind: kind of connection
--   connections: connections built
--   failed_points: failed points
--   rate_per_connection: failed points a connection and season
--   fault_usd: realized cost of a failed point, usd
--   parts_usd: parts of a connection, usd: the pieces that it is made with and joint_parts, as far as known; null where
--     neither is
--   make_usd: making one connection, usd: its minutes of loaded pay and its parts; null where its minutes are not given
--   failure_usd: expected cost of its failures in a season, usd a connection
--   low: lower 95 % limit of failure_usd
--   high: upper 95 % limit of failure_usd
--   price_usd: make_usd and a season's failures, usd; null where its minutes are not given
--   price_low: lower 95 % limit of price_usd
--   price_high: upper 95 % limit of price_usd
--   place_in_order: 1 is the kind whose failures are dearest

create table if not exists decisions.connection_price (
    season integer not null,
    kind varchar not null,
    connections bigint,
    failed_points bigint,
    rate_per_connection double,
    fault_usd double,
    parts_usd double,
    make_usd double,
    failure_usd double,
    low double,
    high double,
    price_usd double,
    price_low double,
    price_high double,
    place_in_order integer,
    unique (season, kind)
);
