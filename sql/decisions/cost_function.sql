-- decisions.cost_function: one row a line: what going to a job costs at all, what a foot of a kind of roofline adds
-- Cost before overhead is fitted to the season's jobs; overhead is added afterwards by its basis. Limits are 95 %
-- percentile limits of a bootstrap over jobs; those of a rate do not count that the kinds which stand together were
-- chosen by the same jobs. usd.
-- columns:
--   season: season whose jobs it is made from
--   line: line
--   term: start (a job before its first foot), foot (a foot of a kind of roofline, at the season's mean kind of work)
--     or work (by how much a foot of a kind of work costs more than the mean foot)
--   what: the kind of roofline or of work
--   jobs: jobs with feet of it; null for kinds of work
--   feet: fastened feet of it
--   direct_usd: cost before overhead, a job or a foot
--   low: lower limit of that
--   high: upper limit of that
--   variable_usd: variable overhead on top; null for kinds of work
--   fixed_usd: fixed overhead on top; null for kinds of work
--   full_usd: all of them
--   full_low: lower limit of that
--   full_high: upper limit of that

create table if not exists decisions.cost_function (
    season integer not null,
    line integer not null,
    term varchar not null,
    what varchar not null,
    jobs integer,
    feet double,
    direct_usd double,
    low double,
    high double,
    variable_usd double,
    fixed_usd double,
    full_usd double,
    full_low double,
    full_high double,
    unique (season, line)
);
