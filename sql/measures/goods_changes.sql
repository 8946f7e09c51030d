-- measures.goods_changes: one row a season and kind of goods, with why it cost more or less than the season before
-- Goods that left stock, whether a job bears them at once or over seasons. work, use and price add up to the change:
-- work is what the season before's use for what was built would take for what was built this season (for what no
-- connection or run is made of, and goods without a job: for its feet), at the price before; use is what was taken
-- beyond that, at the price before; price is this season's use at the price of a unit now less that before, which other
-- items of the kind move too. A kind that only one of the two seasons used has no reasons.
-- Inputs: measures.item_use (quantities, usd a unit), measures.season_cost (ft).
-- columns:
--   season: year in which the season starts
--   base_season: the season before it in the store
--   kind: kind of goods
--   unit: unit of the quantities
--   used_before: net use of the season before
--   used: net use of this season
--   before_usd: its cost in the season before
--   work_usd: more or less work
--   use_usd: more or less for the same work
--   price_usd: price of a unit
--   now_usd: its cost in this season

with uses as (
    select * from measures.item_use
),

feet as (
    select
        season,
        feet
    from measures.season_cost
    where branch = 'all'
),

pairs as (
    select
        season,
        lag(season) over (order by season) as base_season,
        feet / nullif(lag(feet) over (order by season), 0) as feet_ratio
    from feet
),

by_kind as (
    select
        season,
        kind,
        min(unit) as unit,
        sum(net_used)::double as used,
        sum(net_used * unit_cost_usd order by branch, item_no) as usd,
        coalesce(sum(net_new), 0)::double as net_new,
        coalesce(sum(net_repeat), 0)::double as net_repeat,
        coalesce(sum(built_new), 0)::double as built_new,
        coalesce(sum(built_repeat), 0)::double as built_repeat
    from uses
    where kind is not null
    group by season, kind
    having min(unit) = max(unit)
),

keys as (
    select distinct
        pairs.season,
        pairs.base_season,
        pairs.feet_ratio,
        by_kind.kind
    from pairs
    inner join by_kind on by_kind.season in (pairs.season, pairs.base_season)
    where pairs.base_season is not null
),

matched as (
    select
        keys.season,
        keys.base_season,
        keys.kind,
        now_rows.used,
        now_rows.usd as now_usd,
        base_rows.used as used_before,
        base_rows.usd as before_usd,
        base_rows.usd / nullif(base_rows.used, 0) as price_before,
        coalesce(now_rows.unit, base_rows.unit) as unit,
        base_rows.net_new * coalesce(
            now_rows.built_new / nullif(base_rows.built_new, 0), keys.feet_ratio
        ) as due_new,
        base_rows.net_repeat * coalesce(
            now_rows.built_repeat / nullif(base_rows.built_repeat, 0), keys.feet_ratio
        ) as due_repeat,
        (base_rows.used - base_rows.net_new - base_rows.net_repeat) * keys.feet_ratio as due_else
    from keys
    left join by_kind as base_rows on keys.base_season = base_rows.season and keys.kind = base_rows.kind
    left join by_kind as now_rows on keys.season = now_rows.season and keys.kind = now_rows.kind
),

final as (
    select
        season,
        base_season,
        kind,
        unit,
        used_before,
        used,
        before_usd,
        (due_new + due_repeat + due_else - used_before) * price_before as work_usd,
        (used - due_new - due_repeat - due_else) * price_before as use_usd,
        now_usd - used * price_before as price_usd,
        now_usd
    from matched
)

select * from final
