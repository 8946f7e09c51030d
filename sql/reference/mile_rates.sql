-- reference.mile_rates: one row a federal mile rate.
-- columns:
--   from_date: first day of the rate
--   to_date: last day of the rate; blank for the newest
--   usd_per_mile: rate, usd a mile
--   source: where the rate was published

create table if not exists reference.mile_rates (
    from_date date,
    to_date date,
    usd_per_mile decimal(26, 12),
    source varchar
);
