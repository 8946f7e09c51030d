-- decisions.spool_plan: one row a spacing, colour and spool size.
-- The spools of the order, decisions.order_lines: the mix of sizes from which the runs of the drawn seasons cost least
-- in the end, what is bought later with it.
-- columns:
--   season: season to order for
--   spacing_in: socket to socket, in
--   colour: colour of the line
--   spool_size_ft: feet on a spool
--   item_no: item of the light line
--   spools: spools to order
--   feet: feet that the runs of the largest drawn season which the line's spools alone hold take of these; null: none
--   offcut_ft: their other feet: offcut, replacements, and what is left
--   bound_usd: what the line would cost in the end if every foot could be used; no order of it costs less, usd
--   plan_usd: what the line costs in the end on average, bought now and later, less the worth of what is left, usd
--   pack_price: price of a spool, usd
--   order_by: last day for that price
--   supplier: who sells it
--   chance_covered: share of the drawn seasons that can be cut from stock, the spools and their top-up, 0 to 1
--   draws: drawn seasons that were cut

create table if not exists decisions.spool_plan (
    season integer not null,
    spacing_in decimal(26, 12),
    colour varchar,
    spool_size_ft decimal(26, 12),
    item_no varchar,
    spools bigint,
    feet decimal(26, 12),
    offcut_ft decimal(26, 12),
    bound_usd decimal(18, 2),
    plan_usd decimal(18, 2),
    pack_price decimal(18, 2),
    order_by date,
    supplier varchar,
    chance_covered double,
    draws integer
);
