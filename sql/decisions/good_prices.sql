-- decisions.good_prices: one row a kind of work whose quotes show a response to price.
-- columns:
--   season: season to price
--   work: new, repeat, or not said
--   quotes: quotes won or lost that the response was fitted to
--   won: of these won
--   quoted_usd_per_ft: quoted price over quoted feet of the season's quotes, usd a foot
--   won_share: share of the season's quotes expected to be won at the prices quoted, 0 to 1
--   lost_share: share of the quotes that 5 % more would lose beside; null where like houses were never that far apart
--   lost_low: lower 95 % limit of lost_share
--   lost_high: upper 95 % limit of lost_share
--   good_low: price below which the best one lies with a chance of 10 %, usd a foot
--   good_high: price above which the best one lies with a chance of 10 %, usd a foot
--   best_usd_per_ft: price at which most is left; null below 500 quotes or where that lies at an end of what was tried
--   best_end: high or low where most is left at that end of the prices tried; null where it lies between
--   is_separated: whether prices and houses tell all won from all lost, so that the fit is bounded by its penalty alone
--   most_hours: direct crew hours that a season can have, h; null: nothing is known that limits them
--   left_hours: of these left beside this season's other work, h
--   busiest: season whose hours most_hours are; null where the setting crew_hours gives them
--   fits_from_usd_per_ft: lowest price from which on what is won can be done; null where that is all or none of them
--   fits: all, some or none of the prices tried win no more than can be done

create table if not exists decisions.good_prices (
    season integer not null,
    work varchar not null,
    quotes bigint,
    won bigint,
    quoted_usd_per_ft double,
    won_share double,
    lost_share double,
    lost_low double,
    lost_high double,
    good_low double,
    good_high double,
    best_usd_per_ft double,
    best_end varchar,
    is_separated boolean,
    most_hours double,
    left_hours double,
    busiest integer,
    fits_from_usd_per_ft double,
    fits varchar,
    unique (season, work)
);
