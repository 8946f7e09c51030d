-- decisions.spool_plan: one row a spacing, colour and spool size.
-- columns:
--   season: season to order for
--   spacing_in: socket to socket, in
--   colour: colour of the line
--   spool_size_ft: feet on a spool
--   item_no: item of the light line
--   spools: spools to order
--   feet: feet on these spools
--   offcut_ft: feet that no run uses
--   bound_usd: cost that no plan can go under, usd
--   plan_usd: cost of this plan, usd

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
    plan_usd decimal(18, 2)
);
