-- measures.failure_dispersion: one row a season and view of its failures: whether they come in clusters on jobs.
-- Written when a season is closed. Pearson's chi-square over jobs within the groups of the view, against its
-- distribution for Poisson counts of the same totals, which is drawn.
-- columns:
--   season: year in which the season starts
--   view: kind, crew, surface or week
--   pearson: Pearson's chi-square
--   freedom: its degrees of freedom: cells less groups
--   chance: chance of as much or more, were the counts Poisson
--   draws: draws from which the chance is known
--   factor: how many times as much as Poisson counts the failures spread over jobs, over all groups of the view

create table if not exists measures.failure_dispersion (
    season integer not null,
    view varchar not null,
    pearson double,
    freedom bigint,
    chance double,
    draws bigint,
    factor double,
    unique (season, view)
);
