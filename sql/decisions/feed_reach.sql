-- decisions.feed_reach: one row a socket spacing that the season's runs have: how far one feed goes.
-- The maker's label and the local code come first.
-- columns:
--   season: year in which the season starts
--   spacing_in: socket to socket, inches
--   feet_hung: feet of the season's runs at this spacing
--   watts_each: watts of a socket on the run at this spacing that has most; null where a run does not say
--   feet_ft: feet by the limit of feet
--   sockets_ft: feet by the limit of sockets
--   watts_ft: feet by the limit of watts; null where it or the watts are not known
--   first_limit: the limit that comes first: feet, sockets or watts
--   reach_ft: feet at which it comes
--   drop_share: share of the voltage lost at the far end at that length, lamps evenly spread; null where not known
--   drop_ft: feet at which the far end has lost 3 % of the voltage, lamps evenly spread; null where not known

create table if not exists decisions.feed_reach (
    season integer not null,
    spacing_in decimal(26, 12) not null,
    feet_hung decimal(38, 12),
    watts_each double,
    feet_ft double,
    sockets_ft double,
    watts_ft double,
    first_limit varchar,
    reach_ft double,
    drop_share double,
    drop_ft double,
    unique (season, spacing_in)
);
