-- facts.unit_costs: one row a season and item, with what a unit of it costs, over all branches
-- Weighted average of the season's purchases with freight and of the usable opening stock, which counts at list price
-- (pack_price / pack_size); without purchases, the list price. A blank freight is 0. An item that was bought and that
-- items does not list costs what was paid for it, and lasts 4 seasons as items has it where it does not say.
-- Wherever goods become money they do so here: quantity x cost_usd / cost_quantity, by mul_div.
-- Inputs: records.items (usd a pack, units a pack, seasons), records.purchases (usd, packs, units a pack),
-- facts.stock_counts (units).
-- columns:
--   season: season
--   item_no: item
--   kind: kind of item; null where items does not list it
--   unit: unit of the item: ft or each; null where items does not list it
--   pack_size: units in a pack as listed; null where items does not list it
--   list_usd: list price of a pack; null where items does not list it
--   life_seasons: seasons that a leased item lasts
--   opening_quantity: usable on hand before the first installation
--   opening_usd: the same at list price
--   bought_quantity: bought for the season
--   bought_usd: paid for it, with freight
--   basis: purchases and opening stock, purchases or list price
--   cost_usd: what cost_quantity units cost; both in smallest terms, so that products of them stay small
--   cost_quantity: units that cost cost_usd
--   unit_cost_usd: cost of a unit, to look at
with listed as (
    select * from records.items
),

purchases as (
    select * from records.purchases
),

counts as (
    select * from facts.stock_counts
    where end_of_season = 'opening' and condition = 'usable'
),

items as (
    select
        season,
        item_no,
        any_value(kind order by branch_set, source_file, source_row) as kind,
        any_value(unit order by branch_set, source_file, source_row) as unit,
        any_value(pack_size order by branch_set, source_file, source_row) as pack_size,
        any_value(pack_price order by branch_set, source_file, source_row) as list_usd,
        any_value(life_seasons order by branch_set, source_file, source_row) as life_seasons
    from listed
    group by season, item_no
),

bought as (
    select
        season,
        item_no,
        sum((packs * pack_size)::decimal(26, 12))::decimal(38, 12) as bought_quantity,
        sum(paid + coalesce(freight, 0))::decimal(38, 12) as bought_usd
    from purchases
    group by season, item_no
),

opening as (
    select
        season,
        item_no,
        sum(on_hand)::decimal(38, 12) as opening_quantity
    from counts
    group by season, item_no
),

joined as (
    select
        season,
        item_no,
        items.kind,
        items.unit,
        items.pack_size,
        items.list_usd,
        bought.bought_quantity,
        bought.bought_usd,
        coalesce(items.life_seasons, 4)::decimal(26, 12) as life_seasons,
        case when items.item_no is not null then coalesce(opening.opening_quantity, 0) else 0 end::decimal(38, 12)
            as opening_quantity
    from items
    full join bought using (season, item_no)
    left join opening using (season, item_no)
),

valued as (
    select
        *,
        case when opening_quantity > 0 then mul_div(list_usd, opening_quantity, pack_size) else 0 end::decimal(38, 12)
            as opening_usd,
        bought_quantity is not null as is_bought
    from joined
),

sums as (
    select
        *,
        case when is_bought then opening_usd + bought_usd else list_usd end::decimal(38, 12) as whole_usd,
        case when is_bought then opening_quantity + bought_quantity else pack_size end::decimal(38, 12)
            as whole_quantity
    from valued
),

divided as (
    select
        *,
        gcd(to_units(whole_usd), to_units(whole_quantity)) as common_divisor
    from sums
),

final as (
    select
        season,
        item_no,
        kind,
        unit,
        pack_size,
        list_usd,
        life_seasons,
        opening_quantity,
        opening_usd,
        coalesce(bought_quantity, 0)::decimal(38, 12) as bought_quantity,
        coalesce(bought_usd, 0)::decimal(38, 12) as bought_usd,
        case
            when is_bought and opening_quantity > 0 then 'purchases and opening stock'
            when is_bought then 'purchases'
            else 'list price'
        end as basis,
        from_units(to_units(whole_usd) // common_divisor) as cost_usd,
        from_units(to_units(whole_quantity) // common_divisor) as cost_quantity,
        whole_usd / whole_quantity as unit_cost_usd
    from divided
)

select * from final
