-- decisions.crew_comparison: one row a crew of a season.
-- columns:
--   season: year in which the season starts
--   branch: branch
--   crew: crew
--   jobs: jobs with hours
--   feet: roofline feet
--   observed_hours: prep and install hours, h
--   expected_hours: hours that the average crew would have needed for the same jobs, h
--   ratio: observed_hours / expected_hours; below 1 is quicker
--   low: lower 95 % limit of ratio
--   high: upper 95 % limit of ratio
--   pooled_ratio: ratio drawn toward the branch by how little the crew has shown
--   pooled_low: lower 95 % limit of pooled_ratio
--   pooled_high: upper 95 % limit of pooled_ratio
--   told_apart: whether the records tell the crew apart from the average crew
--   faults: failed points on the jobs that the crew built
--   expected_faults: failed points that the average crew would have had
--   fault_ratio: faults / expected_faults
--   fault_low: lower 95 % limit of fault_ratio, exact Poisson, widened where faults come in clusters
--   fault_high: upper 95 % limit of fault_ratio, exact Poisson, widened where faults come in clusters
--   note: what limits the comparison

create table if not exists decisions.crew_comparison (
    season integer not null,
    branch varchar not null,
    crew varchar not null,
    jobs bigint,
    feet decimal(26, 12),
    observed_hours double,
    expected_hours double,
    ratio double,
    low double,
    high double,
    pooled_ratio double,
    pooled_low double,
    pooled_high double,
    told_apart boolean,
    faults bigint,
    expected_faults double,
    fault_ratio double,
    fault_low double,
    fault_high double,
    note varchar,
    unique (season, branch, crew)
);
