-- decisions.feeds_to_split: one row a place at which a loaded feed is to be split.
-- The maker's label and the local code come first; work on the house's own wiring belongs to a licensed electrician.
-- columns:
--   season: year in which the season starts
--   branch: branch of the job
--   job_no: the job
--   feed: the feed that passes a limit
--   place: 1 for the first place counted from the plug
--   why: the limit that is passed furthest: feet, sockets or watts
--   feet: feet on the feed
--   sockets: sockets on the feed
--   watts: watts on the feed; null where not known
--   used_share: load over the limit that is passed furthest
--   feeds_needed: feeds that hold the load within every limit
--   at_ft: where to split, feet along the runs in the order of their numbers
--   after_run: the run after which the place lies; null where the place lies within a run
--   make_usd: making one feed more, usd: a plug's minutes and parts; null where its minutes are not given
--   failure_usd: a season's failures of that plug, usd; null where not known
--   extra_usd: make_usd + failure_usd, usd; null where either is not known

create table if not exists decisions.feeds_to_split (
    season integer not null,
    branch varchar not null,
    job_no varchar not null,
    feed varchar not null,
    place integer not null,
    why varchar,
    feet decimal(38, 12),
    sockets bigint,
    watts decimal(38, 12),
    used_share double,
    feeds_needed integer,
    at_ft double,
    after_run varchar,
    make_usd double,
    failure_usd double,
    extra_usd double,
    unique (season, branch, job_no, feed, place)
);
