-- decisions.break_even: one row a kind of work and rise in price.
-- columns:
--   season: season to price
--   work: new, repeat, or all
--   rise: rise of the price, as a share of it; below 0 a cut
--   price_usd_per_ft: this season's charge a foot after the rise, usd a foot
--   left_share: share of this season's charge that was left after direct cost, before overhead
--   lose_share: share of the jobs that may be lost before less is left than before; below 0: to be won beside

create table if not exists decisions.break_even (
    season integer not null,
    work varchar not null,
    rise double not null,
    price_usd_per_ft double,
    left_share double,
    lose_share double,
    unique (season, work, rise)
);
