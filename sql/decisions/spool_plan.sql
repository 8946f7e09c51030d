-- decisions.spool_plan: one row a spacing, colour and spool size.
-- The cheapest mix of spool sizes from which as large a share of the drawn seasons can be cut as the order covers, at
-- most 95 %.
-- columns:
--   season: season to order for
--   spacing_in: socket to socket, in
--   colour: colour of the line
--   spool_size_ft: feet on a spool
--   item_no: item of the light line
--   spools: spools to order
--   feet: feet that the longest cut list which the plan covers takes of these spools
--   offcut_ft: their other feet: offcut, replacements, and what is left
--   bound_usd: cost that no plan for this line can go under, usd
--   plan_usd: cost of this line's plan, all sizes together, usd
--   pack_price: price of a spool, usd
--   order_by: last day for that price
--   supplier: who sells it
--   chance_covered: share of the drawn seasons that can be cut from the line's plan, 0 to 1
--   draws: drawn seasons that were cut
--   one_size_ft: the one spool size that alone does it at the least cost, ft
--   one_size_usd: that cost, usd

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
    draws integer,
    one_size_ft decimal(26, 12),
    one_size_usd decimal(18, 2)
);
