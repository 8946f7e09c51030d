-- decisions.crew_learning: one row a crew whose start is in the records: what practice gained it.
-- A crew's start is in the records where its first season in the store is later than the store's first one.
-- Wright's unit model (1936): hours a foot x cumulative feet ^ log2(progress ratio); houses and seasons taken out.
-- columns:
--   season: year in which the season starts
--   crew: crew
--   first_season: season in which it began
--   jobs: its jobs with hours since
--   first_feet: feet that it had hung in the middle of its first job with hours, ft
--   feet: feet that it had hung in the middle of its last one, ft
--   progress_ratio: hours a foot after a doubling of its feet / before; below 1 it gains
--   low: lower 95 % limit of progress_ratio
--   high: upper 95 % limit of progress_ratio
--   now_over_start: hours a foot at feet / at first_feet, by the progress ratio
--   told: learns, slows or cannot be told

create table if not exists decisions.crew_learning (
    season integer not null,
    crew varchar not null,
    first_season integer,
    jobs bigint,
    first_feet double,
    feet double,
    progress_ratio double,
    low double,
    high double,
    now_over_start double,
    told varchar,
    unique (season, crew)
);
