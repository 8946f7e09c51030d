-- decisions.crew_contrasts: one row a pair of crews of a branch and season, by name.
-- columns:
--   season: year in which the season starts
--   branch: branch of both
--   crew: the one
--   other_crew: the other
--   jobs: jobs of the one
--   other_jobs: jobs of the other
--   ratio: hours of crew / hours of other_crew on equal houses; below 1 crew is quicker
--   low: lower 95 % limit of ratio, of this pair by itself (small-sample t)
--   high: upper 95 % limit of ratio, of this pair by itself (small-sample t)
--   all_low: lower limit of ratio; with 95 % those of all crews and pairs of the season hold at once (max-t)
--   all_high: upper limit of ratio; with 95 % those of all crews and pairs of the season hold at once (max-t)
--   adjusted_chance: chance of so large a difference somewhere among the season's comparisons where no crew differs
--   chance_faster: probability that crew is truly faster than other_crew, both drawn toward the branch's average
--   told_apart: whether adjusted_chance is below .04
--   houses_alike: share of houses alike by five classes of difficulty; 1: the same mix
--   note: what is told, in words

create table if not exists decisions.crew_contrasts (
    season integer not null,
    branch varchar not null,
    crew varchar not null,
    other_crew varchar not null,
    jobs bigint,
    other_jobs bigint,
    ratio double,
    low double,
    high double,
    all_low double,
    all_high double,
    adjusted_chance double,
    chance_faster double,
    told_apart boolean,
    houses_alike double,
    note varchar,
    unique (season, branch, crew, other_crew)
);
