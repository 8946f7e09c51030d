-- measures.shrinkage: one row a season, branch and item whose stock was counted at both ends
-- Shrinkage = opening + bought - issued less returned - closing: what is gone and no record says where. A cost of the
-- branch, outside the jobs; below 0 more was counted than can be there. A count before the first installation is taken
-- as what was carried over, without what the season bought.
-- Inputs: facts.stock_events (units, usd), facts.unit_costs.
-- columns:
--   season: season
--   branch: branch; all: reckoned over the branches that were closed together
--   branch_set: branches closed together
--   item_no: item
--   unit: unit of the item: ft or each; null where items does not list it
--   opening: on hand before the first installation, in the item's unit
--   bought: bought for the season
--   issued: issued less returned
--   closing: on hand at the end
--   shrinkage: what is gone
--   shrinkage_usd: the same at the item's unit cost, exact; null where it has none
with events as (
    select * from facts.stock_events
),

unit_costs as (
    select * from facts.unit_costs
),

sums as (
    select
        season,
        coalesce(branch, 'all') as branch,
        branch_set,
        item_no,
        coalesce(sum(quantity) filter (where event = 'opening'), 0)::decimal(38, 12) as opening,
        coalesce(sum(quantity) filter (where event = 'bought'), 0)::decimal(38, 12) as bought,
        coalesce(-sum(quantity) filter (where event = 'issued'), 0)::decimal(38, 12) as issued,
        coalesce(-sum(quantity) filter (where event = 'closing'), 0)::decimal(38, 12) as closing
    from events
    group by season, coalesce(branch, 'all'), branch_set, item_no
),

final as (
    select
        sums.season,
        sums.branch,
        sums.branch_set,
        sums.item_no,
        unit_costs.unit,
        sums.opening,
        sums.bought,
        sums.issued,
        sums.closing,
        (sums.opening + sums.bought - sums.issued - sums.closing)::decimal(38, 12) as shrinkage,
        mul_div(
            unit_costs.cost_usd, sums.opening + sums.bought - sums.issued - sums.closing, unit_costs.cost_quantity
        )::decimal(38, 12) as shrinkage_usd
    from sums
    left join unit_costs using (season, item_no)
)

select * from final
