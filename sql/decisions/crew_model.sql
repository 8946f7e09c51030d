-- decisions.crew_model: one row a figure of how the model of hours came out.
-- columns:
--   season: year in which the season starts
--   what: jobs, crews, terms, pairs; job_spread and crew_spread (share by which they typically differ);
--     factor_alone and factor_together (standard errors in an interval by itself, and with all others);
--     bounded_jobs (counted as if at the bound), wild_jobs; most_moved (share by which a single job moves its crew's
--     ratio at most); lasting_crew_spread and crew_season_spread (over the seasons, REML)
--   value: the figure

create table if not exists decisions.crew_model (
    season integer not null,
    what varchar not null,
    value double,
    unique (season, what)
);
