-- decisions.order_lines: one row a item to order and offer.
-- columns:
--   season: season to order for
--   item_no: item
--   kind: kind of item
--   unit: unit of the item: ft or each
--   colour: colour
--   supplier: who sells it
--   offer: which price: list, or the pack size and least packs of an offer
--   packs: packs to order
--   pack_size: units in a pack, in the item's unit
--   pack_price: price of a pack, usd
--   amount_usd: packs x pack_price, usd
--   need_p10: need that is exceeded 9 times in 10, in the item's unit
--   need_p50: need that is as likely exceeded as not, in the item's unit
--   need_p90: need that is exceeded 1 time in 10, in the item's unit
--   on_hand: usable stock and the usable share of doubtful stock, in the item's unit
--   ordered: units ordered of the item now, over all its lines, in the item's unit
--   top_up_p50: units bought later, once the season's jobs are known, in the middle case; 0 where none can be had then
--   top_up_p90: the same where the season is as busy as 1 in 10
--   chance_short: chance of running out with this order and its top-up, 0 to 1
--   cost_usd: what the item costs on average in the end: now, later and in a hurry, less the worth of what is left, usd
--   fewer_usd: where more is ordered than the high need is short of, by more than a pack, what the best order up to
--     that would cost more in the end, usd; null elsewhere, or where no such order keeps the floor
--   order_by: last day to order
--   why: what the need is made of

create table if not exists decisions.order_lines (
    season integer not null,
    item_no varchar not null,
    kind varchar,
    unit varchar,
    colour varchar,
    supplier varchar,
    offer varchar,
    packs bigint,
    pack_size decimal(26, 12),
    pack_price decimal(18, 2),
    amount_usd decimal(18, 2),
    need_p10 double,
    need_p50 double,
    need_p90 double,
    on_hand double,
    ordered double,
    top_up_p50 double,
    top_up_p90 double,
    chance_short double,
    cost_usd double,
    fewer_usd double,
    order_by date,
    why varchar
);
