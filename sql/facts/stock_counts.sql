-- facts.stock_counts: one row a season, branch, item and condition that was counted at an end of the season.
-- A count dated before the season's first installation is opening stock: what was carried over, without what the season
-- buys. Any later one, and one without a day, is closing stock. Of an end, item, branch and condition the newest day
-- counts, all its rows added.
-- Inputs: records.stock (on_hand, in the item's unit), records.jobs (the season's first installation).
-- columns:
--   season: year in which the season starts
--   branch: branch; null: not said
--   branch_set: branches closed together
--   item_no: the item
--   condition: usable or doubtful
--   end_of_season: opening or closing
--   on_hand: on hand, in the item's unit

with stock as (
    select * from records.stock
),

jobs as (
    select * from records.jobs
),

starts as (
    select
        season,
        min(install_date) as first_installation
    from jobs
    group by season
),

counts as (
    select
        stock.season,
        stock.branch,
        stock.branch_set,
        stock.item_no,
        stock.condition,
        stock.on_hand,
        coalesce(stock.counted_on, date '9999-12-31') as counted_on,
        case when stock.counted_on < starts.first_installation then 'opening' else 'closing' end as end_of_season
    from stock
    inner join starts using (season)
),

newest as (
    select
        *,
        max(counted_on) over (
            partition by season, branch_set, branch, item_no, condition, end_of_season
        ) as newest_day
    from counts
),

final as (
    select
        season,
        branch,
        branch_set,
        item_no,
        condition,
        end_of_season,
        sum(on_hand)::decimal(26, 12) as on_hand
    from newest
    where counted_on = newest_day
    group by season, branch, branch_set, item_no, condition, end_of_season
)

select * from final
