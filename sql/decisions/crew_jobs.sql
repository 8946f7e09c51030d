-- decisions.crew_jobs: one row a job behind the comparison of crews.
-- columns:
--   season: year in which the season starts
--   branch: branch
--   crew: crew that led it
--   job_no: the job
--   feet: roofline feet
--   hours: prep and install hours, h
--   expected_hours: hours that the average crew would have taken, h; a crew's add up to those of crew_comparison
--   fitted_hours: hours that the model says of that crew on that house (a median), h
--   score: robust standard deviations by which the job took more than the model says of that crew and house
--   moves: by which share the job moves its crew's ratio
--   is_wild: whether the score lies beyond 3.5 to either side; beyond 2 a job counts as if it lay there

create table if not exists decisions.crew_jobs (
    season integer not null,
    branch varchar not null,
    crew varchar not null,
    job_no varchar not null,
    feet double,
    hours double,
    expected_hours double,
    fitted_hours double,
    score double,
    moves double,
    is_wild boolean,
    unique (season, branch, job_no)
);
