-- facts.closing_stock: one row a season and item that was counted at its end.
-- Branches are added; what counts as the closing stock is said at facts.stock_counts.
-- Inputs: facts.stock_counts (on_hand, in the item's unit).
-- columns:
--   season: year in which the season starts
--   item_no: the item
--   usable: usable on hand, in the item's unit; 0 where only doubtful goods were counted
--   doubtful: doubtful on hand, in the item's unit; 0 where none was counted

with counts as (
    select * from facts.stock_counts
    where end_of_season = 'closing'
),

final as (
    select
        season,
        item_no,
        coalesce(sum(on_hand) filter (where condition = 'usable'), 0)::decimal(26, 12) as usable,
        coalesce(sum(on_hand) filter (where condition = 'doubtful'), 0)::decimal(26, 12) as doubtful
    from counts
    group by season, item_no
)

select * from final
