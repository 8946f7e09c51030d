-- measures.feed_loads: one row a feed of a job, with its load against the limits and its voltage drop.
-- The loads come from facts.feeds; limits and drops are added to them when a season is closed. The maker's label and
-- the local code come before any limit here.
-- columns:
--   season: year in which the season starts
--   branch: branch of the job
--   job_no: the job
--   feed: the supply plug, within the job
--   crew: crew that led the installation
--   circuit: circuit of the house that the feed is on; null where it is not known
--   runs: runs on the feed
--   feet: feet of light line on the feed
--   sockets: sockets on the feed, those capped or taped later among them
--   watts: watts on the feed; null where those of a bulb are not known
--   volts: volts by the items, else the setting line_volts; null where runs differ
--   amps: watts / volts
--   gauge: gauge of the thinnest light line by the items, else the setting line_gauge, AWG
--   feet_limit: the setting feed_feet, ft
--   sockets_limit: the setting feed_sockets
--   watts_limit: the setting feed_watts, from the maker's label, W; null: not given
--   first_limit: which limit is used most: feet, sockets or watts
--   used_share: the largest of feet, sockets and watts over its limit
--   is_over: whether a limit is passed; on the limit is inside
--   drop_volts: volts lost at the far end with the lamps evenly spread; null where amps or the wire is not known
--   drop_share: drop_volts / volts
--   end_drop_volts: volts lost were the whole load at the far end (2 K I L / CM): more than any way of hanging loses

create table if not exists measures.feed_loads (
    season integer not null,
    branch varchar not null,
    job_no varchar not null,
    feed varchar not null,
    crew varchar,
    circuit varchar,
    runs bigint,
    feet decimal(38, 12),
    sockets bigint,
    watts decimal(38, 12),
    volts double,
    amps double,
    gauge integer,
    feet_limit double,
    sockets_limit double,
    watts_limit double,
    first_limit varchar,
    used_share double,
    is_over boolean,
    drop_volts double,
    drop_share double,
    end_drop_volts double,
    unique (season, branch, job_no, feed)
);
