-- decisions.season_changes: one row a season and measure that is held against the season before in the store.
-- Measures. pace: prep and install hours for 100 ft, as_they_came and on equal_houses with the same crews (before:
-- what the season before's pace would have taken for this season's houses). faults: by kind of connection, all, and
-- kinds_alone (now: the season before's rates on this season's kinds). feeds: over_a_limit. returning: properties of
-- the season before that came back, beside the pair of seasons before it.
-- columns:
--   season: year in which the season starts
--   base_season: the season before it in the store
--   measure: pace, faults, feeds or returning
--   what: of what
--   unit: unit of before and now
--   before_part: numerator of before; null where a model gives it
--   before_whole: denominator of before
--   before: the season before
--   now_part: numerator of now
--   now_whole: denominator of now
--   now: this season
--   change_is: ratio (now / before) or difference (now - before)
--   change: the change; null where the season before has no rate
--   low: lower 95 % limit of change, by itself
--   high: upper 95 % limit of change, by itself; null where it could be without end
--   more_than_chance: whether the limits that hold for all comparisons at once leave out that nothing changed
--   comparisons: comparisons of the season with limits, over which the chance of a wrong one is held to 5 %

create table if not exists decisions.season_changes (
    season integer not null,
    base_season integer not null,
    measure varchar not null,
    what varchar not null,
    unit varchar,
    before_part double,
    before_whole double,
    before double,
    now_part double,
    now_whole double,
    now double,
    change_is varchar,
    change double,
    low double,
    high double,
    more_than_chance boolean,
    comparisons integer,
    unique (season, measure, what)
);
