-- decisions.cash_plan: one row a month of the next season, June to May, where the season handed in receipts.
-- columns:
--   season: season that is planned
--   month: first day of the month
--   received_usd: this season's receipts of the month a year before, usd
--   pay_usd: this season's pay and burden with rise_labor, usd
--   goods_usd: the order's lines by their last day to order; without an order this season's purchases with rise_goods
--   road_usd: miles and equipment with rise_other, usd
--   overhead_usd: overheads with rise_other, usd
--   net_usd: received less what goes out, usd
--   running_usd: sum of net_usd from June on, usd

create table if not exists decisions.cash_plan (
    season integer not null,
    month date not null,
    received_usd double,
    pay_usd double,
    goods_usd double,
    road_usd double,
    overhead_usd double,
    net_usd double,
    running_usd double,
    unique (season, month)
);
