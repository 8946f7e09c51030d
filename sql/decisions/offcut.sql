-- decisions.offcut: one row a light line that new work of the season was cut from.
-- Realized offcut beside the least that the same runs could have been cut with from the sizes bought.
-- Inputs: records.runs of new jobs, measures.item_use (net use on new jobs), records.purchases, records.items.
-- Line that is moved on to a job is not told apart by spool, so realized offcut is that of the line, all its sizes.
-- columns:
--   season: year in which the season starts
--   item_no: item of the light line
--   spacing_in: socket to socket, in
--   colour: colour of the line
--   spool_sizes: sizes of spools bought in the season, ft; those of the list where none was bought
--   runs: runs of new jobs
--   feet: their fastened feet
--   net_ft: line issued less returned on new jobs, ft; null where no movement is recorded
--   offcut_ft: net_ft - feet
--   offcut_share: offcut_ft over feet
--   possible_ft: the least offcut: cutting behind a socket, and ends too short to keep, ft
--   possible_share: possible_ft over feet
--   kept_ft: what the best plan leaves over on lengths worth keeping, ft
--   spools: spools that the best plan opens
--   spool_ft: feet on them, to the last socket
--   bound_ft: feet of spools that no plan can go under
--   unit_cost_usd: cost of a foot of line, usd
--   saved_usd: (offcut_ft - possible_ft) at that cost, usd

create table if not exists decisions.offcut (
    season integer not null,
    item_no varchar not null,
    spacing_in decimal(26, 12),
    colour varchar,
    spool_sizes varchar,
    runs integer,
    feet decimal(26, 12),
    net_ft decimal(26, 12),
    offcut_ft decimal(26, 12),
    offcut_share double,
    possible_ft decimal(26, 12),
    possible_share double,
    kept_ft decimal(26, 12),
    spools integer,
    spool_ft decimal(26, 12),
    bound_ft decimal(26, 12),
    unit_cost_usd double,
    saved_usd decimal(18, 2)
);
