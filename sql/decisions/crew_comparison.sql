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
--   low: lower 95 % limit of ratio, of this crew by itself (small-sample t)
--   high: upper 95 % limit of ratio, of this crew by itself (small-sample t)
--   all_low: lower limit of ratio; with 95 % those of all crews and pairs of the season hold at once (max-t)
--   all_high: upper limit of ratio; with 95 % those of all crews and pairs of the season hold at once (max-t)
--   adjusted_chance: chance of so large a difference somewhere among the season's comparisons where no crew differs
--   told_apart: whether adjusted_chance is below .04: the records tell the crew from the average crew
--   fair_hours_per_100_ft: ratio x the hours that the average crew takes for 100 ft of all the branch's houses, h
--   without_wild_ratio: ratio without the jobs that crew_jobs calls wild
--   pooled_ratio: ratio drawn toward the branch by how little the crew has shown
--   pooled_low: lower 95 % limit of pooled_ratio
--   pooled_high: upper 95 % limit of pooled_ratio
--   lasting_seasons: seasons of the crew behind lasting_ratio
--   lasting_ratio: the crew's pace over the seasons to this one, its seasons' own taken out, pooled; null: under three
--   lasting_low: lower 95 % limit of lasting_ratio
--   lasting_high: upper 95 % limit of lasting_ratio
--   faults: failed points on the jobs that the crew built
--   expected_faults: failed points that the average crew would have had
--   fault_ratio: faults / expected_faults
--   fault_low: lower 95 % limit of fault_ratio, by its share of all faults (mid-P), widened for clusters
--   fault_high: upper 95 % limit of fault_ratio, by its share of all faults (mid-P), widened for clusters
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
    all_low double,
    all_high double,
    adjusted_chance double,
    told_apart boolean,
    fair_hours_per_100_ft double,
    without_wild_ratio double,
    pooled_ratio double,
    pooled_low double,
    pooled_high double,
    lasting_seasons integer,
    lasting_ratio double,
    lasting_low double,
    lasting_high double,
    faults bigint,
    expected_faults double,
    fault_ratio double,
    fault_low double,
    fault_high double,
    note varchar,
    unique (season, branch, crew)
);
