-- measures.call_times: one row a season and branch (and all) that handed in service calls.
-- How long customers wait: calendar days from the call to the repair. Calls that are still open count as waiting for as
-- long as they are known to have waited (facts.call_waits; Kaplan and Meier 1958). Written when a season is closed.
-- columns:
--   season: year in which the season starts
--   branch: branch; all for the firm
--   calls: calls; 0 where the sheet was empty
--   open_calls: calls that were not mended
--   median_days: days within which half of the calls were mended; null where the records do not reach so far
--   median_low: lower 95 % limit of median_days
--   median_high: upper 95 % limit of median_days; null where the records do not reach so far
--   p90_days: days within which 9 calls in 10 were mended; null where the records do not reach so far
--   p90_low: lower 95 % limit of p90_days
--   p90_high: upper 95 % limit of p90_days; null where the records do not reach so far

create table if not exists measures.call_times (
    season integer not null,
    branch varchar not null,
    calls bigint,
    open_calls bigint,
    median_days double,
    median_low double,
    median_high double,
    p90_days double,
    p90_low double,
    p90_high double,
    unique (season, branch)
);
