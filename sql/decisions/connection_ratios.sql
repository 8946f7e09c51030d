-- decisions.connection_ratios: one row a pair of kinds of connection: the rate of one over that of the other.
-- The exact conditional test, of counts taken as fewer where they come in clusters. The higher rate stands first.
-- columns:
--   season: year in which the season starts
--   kind: kind of connection with the higher rate
--   other: kind of connection with the lower rate
--   failed_points: failed points of kind
--   other_points: failed points of other
--   ratio: failures per connection-night of kind / of other; null where other had none
--   low: lower 95 % limit of ratio, of this pair alone
--   high: upper 95 % limit of ratio, of this pair alone; null: without end
--   chance: two-sided chance of as great a difference were the rates equal
--   chance_all_pairs: the same, adjusted for the number of pairs (Holm)
--   told_apart: whether chance_all_pairs is under the level of error

create table if not exists decisions.connection_ratios (
    season integer not null,
    kind varchar not null,
    other varchar not null,
    failed_points bigint,
    other_points bigint,
    ratio double,
    low double,
    high double,
    chance double,
    chance_all_pairs double,
    told_apart boolean,
    unique (season, kind, other)
);
