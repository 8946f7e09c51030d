-- measures.failure_weeks: one row a week in which connections were lit, over all branches: the u chart of the season.
-- Written when a season is closed, from facts.connection_weeks. A rate on its limit is inside.
-- columns:
--   season: year in which the season starts
--   week_start: first day of the week
--   connection_nights: connection-nights of the week
--   failed_points: points that failed in the week
--   per_1000_connection_nights: failed_points / connection_nights x 1000
--   low: lower 95 % limit of it, exact Poisson, widened by widening
--   high: upper 95 % limit of it, exact Poisson, widened by widening
--   widening: how many times as much as Poisson counts the failures of a week spread over jobs
--   centre: failures per 1,000 connection-nights over all weeks
--   lower_limit: centre less 3 standard deviations for the week's connection-nights, 0 at least
--   upper_limit: centre and 3 standard deviations for the week's connection-nights
--   beyond: above or below where the week lies beyond its limits, else inside

create table if not exists measures.failure_weeks (
    season integer not null,
    week_start date not null,
    connection_nights double,
    failed_points bigint,
    per_1000_connection_nights double,
    low double,
    high double,
    widening double,
    centre double,
    lower_limit double,
    upper_limit double,
    beyond varchar,
    unique (season, week_start)
);
