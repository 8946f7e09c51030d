-- facts.stock_events: one row a season, item, place where it is reckoned and way in or out of stock, at unit cost
-- What stood there at the start, what was bought, what was issued less returned, what stood there at the end; usable
-- and doubtful goods alike, since what is doubtful is not gone. Held movements count, as their goods did move; rejected
-- ones do not. An item is reckoned branch by branch where each count, purchase and movement of it names a branch, in
-- those branches that counted it at both ends; else over all the branches closed together, where both ends were counted
-- for all of them. An end that was not counted, or purchases or movements that were not handed in, leave it unknown: it
-- has no rows.
-- Inputs: facts.stock_counts, records.purchases, facts.goods_moved (units), facts.unit_costs (usd a unit).
-- columns:
--   season: season
--   branch: branch where it is reckoned; null: all the branches closed together
--   branch_set: branches closed together
--   item_no: item
--   event: opening, bought, issued or closing
--   quantity: what it adds to what should be there: opening and bought more than 0, closing and issued less; in units
--   usd: the same at the item's unit cost, exact; null where it has none
with counts as (
    select * from facts.stock_counts
),

purchases as (
    select * from records.purchases
),

moved as (
    select * from facts.goods_moved
    where place in ('accepted', 'held')
),

unit_costs as (
    select * from facts.unit_costs
),

jobs as (
    select * from records.jobs
),

record_tables as (
    select * from audit.record_tables
),

handed as (
    select
        season,
        branch_set
    from record_tables
    where record_table in ('purchases', 'materials')
    group by season, branch_set
    having count(distinct record_table) = 2
),

branches as (
    select distinct
        season,
        branch_set,
        branch
    from jobs
),

ways as (
    select
        season,
        branch,
        branch_set,
        item_no,
        end_of_season as event,
        case end_of_season when 'opening' then on_hand else -on_hand end as quantity
    from counts
    union all
    select
        season,
        branch,
        branch_set,
        item_no,
        'bought' as event,
        (packs * pack_size)::decimal(26, 12) as quantity
    from purchases
    union all
    select
        season,
        branch,
        branch_set,
        item_no,
        'issued' as event,
        -net_quantity as quantity
    from moved
    where moved <> 'scrapped'
),

by_branch as (
    select
        ways.season,
        ways.branch,
        ways.branch_set,
        ways.item_no,
        ways.event,
        sum(ways.quantity)::decimal(38, 12) as quantity,
        count(*) = count(ways.quantity) as is_known
    from ways
    semi join handed using (season, branch_set)
    group by ways.season, ways.branch, ways.branch_set, ways.item_no, ways.event
),

items as (
    select
        season,
        branch_set,
        item_no,
        bool_and(branch is not null) as is_by_branch
    from by_branch
    group by season, branch_set, item_no
),

branch_totals as (
    select
        season,
        branch_set,
        count(*) as branches
    from branches
    group by season, branch_set
),

-- A count without a branch is one of all branches.
counted_branches as (
    select
        by_branch.season,
        by_branch.branch_set,
        by_branch.item_no,
        by_branch.event,
        count(distinct branches.branch) as branches
    from by_branch
    inner join branches
        on
            by_branch.season = branches.season
            and by_branch.branch_set = branches.branch_set
            and (by_branch.branch is null or by_branch.branch = branches.branch)
    where by_branch.event in ('opening', 'closing')
    group by by_branch.season, by_branch.branch_set, by_branch.item_no, by_branch.event
),

wholly_counted as (
    select counted_branches.*
    from counted_branches
    inner join branch_totals using (season, branch_set, branches)
),

placed as (
    select
        by_branch.season,
        case when items.is_by_branch then by_branch.branch end as branch,
        by_branch.branch_set,
        by_branch.item_no,
        by_branch.event,
        items.is_by_branch,
        sum(by_branch.quantity)::decimal(38, 12) as quantity,
        bool_and(by_branch.is_known) as is_known,
        bool_or(not items.is_by_branch and wholly_counted.event is not null) as is_wholly_counted
    from by_branch
    inner join items using (season, branch_set, item_no)
    left join wholly_counted using (season, branch_set, item_no, event)
    group by all
),

reckoned as (
    select
        season,
        branch_set,
        item_no,
        branch
    from placed
    group by season, branch_set, item_no, branch
    having
        bool_and(is_known)
        and count(*) filter (where event in ('opening', 'closing') and (is_by_branch or is_wholly_counted)) = 2
),

final as (
    select
        placed.season,
        placed.branch,
        placed.branch_set,
        placed.item_no,
        placed.event,
        placed.quantity,
        mul_div(unit_costs.cost_usd, placed.quantity, unit_costs.cost_quantity)::decimal(38, 12) as usd
    from placed
    semi join reckoned
        on
            placed.season = reckoned.season
            and placed.branch_set = reckoned.branch_set
            and placed.item_no = reckoned.item_no
            and placed.branch is not distinct from reckoned.branch
    left join unit_costs on placed.season = unit_costs.season and placed.item_no = unit_costs.item_no
)

select * from final
