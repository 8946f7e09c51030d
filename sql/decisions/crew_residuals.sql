-- decisions.crew_residuals: one row a class of jobs by the hours that the model of hours says of them.
-- columns:
--   season: year in which the season starts
--   class: number of the class, from the jobs with the fewest hours on; classes have equally many jobs
--   jobs: jobs in it
--   least_hours: fewest hours that the model says of a job in it, h
--   most_hours: most hours, h
--   middle_hours: median hours, h
--   score: mean of the jobs' scores (see crew_jobs), each bounded at 2 to either side
--   low: lower limit of that mean, for all classes at once
--   high: upper limit
--   told: even where the limits hold 0, else more hours or fewer hours than the model says

create table if not exists decisions.crew_residuals (
    season integer not null,
    class integer not null,
    jobs bigint not null,
    least_hours double,
    most_hours double,
    middle_hours double,
    score double,
    low double,
    high double,
    told varchar not null,
    unique (season, class)
);
