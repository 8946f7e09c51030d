-- decisions.order_backtest: one row a season ordered for, season that is over, item and rule of ordering.
-- The order of a season that is over, with what was known at the end of the one before, against what was used.
-- columns:
--   season: season to order for when this was worked out
--   of_season: season that the order was for
--   item_no: item
--   kind: kind of item
--   unit: unit of the item: ft or each
--   rule: advised, last_year_plus_10 (last season's use and a tenth) or last_year (last season's use)
--   available: on hand before the season: the opening count, else what was left and came back, in the item's unit
--   ordered: ordered before the season, in the item's unit
--   topped_up: bought later, once the season's jobs were known, in the item's unit
--   used: issued less returned, in the item's unit
--   short: missing of what was used, in the item's unit
--   left_over: left of what was ordered, in the item's unit
--   cost_usd: what was bought before, later and in a hurry, less the worth of what was left, usd
--   lost_usd: cost_usd beyond that of the best order for what was used, usd
--   need_p10: use that was to be exceeded 9 times in 10; the rule's one figure for the rules of thumb
--   need_p50: use that was to be exceeded 1 time in 2
--   need_p90: use that was to be exceeded 1 time in 10
--   chance_short: chance of running out that was promised, 0 to 1; null for the rules of thumb, which promise none
--   pinball_p10: pinball loss of need_p10, in the item's unit
--   pinball_p50: pinball loss of need_p50, in the item's unit
--   pinball_p90: pinball loss of need_p90, in the item's unit

create table if not exists decisions.order_backtest (
    season integer not null,
    of_season integer not null,
    item_no varchar not null,
    kind varchar,
    unit varchar,
    rule varchar not null,
    available double,
    ordered double,
    topped_up double,
    used double,
    short double,
    left_over double,
    cost_usd double,
    lost_usd double,
    need_p10 double,
    need_p50 double,
    need_p90 double,
    chance_short double,
    pinball_p10 double,
    pinball_p50 double,
    pinball_p90 double,
    unique (season, of_season, item_no, rule)
);
