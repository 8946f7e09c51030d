-- facts.closing_stock: one row a season and item that was counted at its end.
-- Inputs: records.stock (on_hand, in the item's unit), records.jobs (the season's first installation).
-- A count dated before the season's first installation is opening stock and not here; one without a day counts as
-- closing. Of an item, branch and condition the newest day counts, all its rows added; branches are added.
-- columns:
--   season: year in which the season starts
--   item_no: the item
--   usable: usable on hand, in the item's unit; 0 where only doubtful goods were counted
--   doubtful: doubtful on hand, in the item's unit; 0 where none was counted

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
        coalesce(stock.counted_on, date '9999-12-31') as counted_on
    from stock
    inner join starts using (season)
    where stock.counted_on is null or stock.counted_on >= starts.first_installation
),

newest as (
    select
        *,
        max(counted_on) over (partition by season, branch_set, branch, item_no, condition) as newest_day
    from counts
),

final as (
    select
        season,
        item_no,
        coalesce(sum(on_hand) filter (where condition = 'usable'), 0)::decimal(26, 12) as usable,
        coalesce(sum(on_hand) filter (where condition = 'doubtful'), 0)::decimal(26, 12) as doubtful
    from newest
    where counted_on = newest_day
    group by season, item_no
)

select * from final
