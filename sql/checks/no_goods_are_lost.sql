-- no_goods_are_lost: an item whose accepted net issue is not its net use over the branches.
with goods_moved as (
    select * from facts.goods_moved
),

item_use as (
    select * from measures.item_use
),

moved as (
    select
        season,
        item_no,
        sum(net_quantity) as net
    from goods_moved
    where place = 'accepted'
    group by season, item_no
),

used as (
    select
        season,
        item_no,
        sum(net_used) as net
    from item_use
    group by season, item_no
),

final as (
    select
        season,
        item_no,
        'issued less returned is ' || coalesce(moved.net, 0) || ' but ' || coalesce(used.net, 0) || ' was used' as why
    from moved
    full join used using (season, item_no)
    where coalesce(moved.net, 0) <> coalesce(used.net, 0)
)

select * from final
