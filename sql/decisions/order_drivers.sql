-- decisions.order_drivers: one row a season to order for, item and thing that moves its need.
-- The parts of an item's need add up to what is used less what comes back from leased jobs that end.
-- columns:
--   season: season to order for
--   item_no: item
--   driver: what moves the need
--   what: the same in words
--   mean_need: its part of the need on average, in the item's unit
--   low: the part that is exceeded 9 times in 10, in the item's unit
--   high: the part that is exceeded 1 time in 10, in the item's unit
--   variance_share: its share of the need's variance; shares of an item add up to 1; null where the need does not vary

create table if not exists decisions.order_drivers (
    season integer not null,
    item_no varchar not null,
    driver varchar not null,
    what varchar,
    mean_need double,
    low double,
    high double,
    variance_share double,
    unique (season, item_no, driver)
);
