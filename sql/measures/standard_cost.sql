-- measures.standard_cost: one row a season, part of cost and line, over all branches: what a foot took, at what price
-- Quantity and amount of the season / its feet, and amount / quantity: the firm's own rates, which are the standard
-- that the season after is held against. The amounts of a part's lines add up to the part to the cent: what rounding
-- the part to cents leaves, under a cent, lies on its largest line. A season without feet has no rows.
-- Inputs: facts.cost_lines (usd, h, units, miles, points), measures.season_cost (usd, ft), measures.season_level.
-- columns:
--   season: season
--   part: labor, materials, travel, equipment, service or overhead
--   line: task, item, or what else the part is made of
--   unit: h, ft, each, miles or points; null: no quantity
--   feet: fastened feet of the season
--   quantity: how much of it; null: no quantity
--   amount_usd: what it cost
--   quantity_per_ft: quantity / feet
--   usd_per_unit: amount / quantity; null: no quantity
--   usd_per_ft: amount / feet
--   is_kept: whether a sheet was handed in that tells of the part, so that nothing means none
with lines as (
    select * from facts.cost_lines
),

season_cost as (
    select * from measures.season_cost
    where branch = 'all' and feet > 0
),

season_level as (
    select * from measures.season_level
),

parts as (
    unpivot (
        select
            season,
            feet,
            coalesce(labor_usd, 0) as labor,
            coalesce(materials_usd, 0) as materials,
            coalesce(travel_usd, 0) as travel,
            coalesce(equipment_usd, 0) as equipment,
            coalesce(service_usd, 0) as service,
            coalesce(overhead_usd, 0) as overhead
        from season_cost
    )
    on labor, materials, travel, equipment, service, overhead
    into
    name part
    value part_usd
),

kept as (
    select
        parts.*,
        parts.part_usd <> 0
        or case parts.part
            when 'labor' then season_level.has_hours and season_level.has_workers
            when 'materials' then season_level.has_materials or season_level.has_purchases
            when 'equipment' then season_level.has_equipment
            when 'service' then season_level.has_service_calls
            when 'overhead' then season_level.has_overheads
            else false
        end as is_kept
    from parts
    inner join season_level using (season)
),

summed as (
    select
        season,
        part,
        line,
        max(unit) as unit,
        sum(quantity)::decimal(38, 12) as quantity,
        sum(usd)::decimal(38, 12) as usd
    from lines
    group by season, part, line
),

-- A part without a line still stands, so that the season after finds it.
placed as (
    select
        kept.season,
        kept.part,
        coalesce(summed.line, kept.part) as line,
        summed.unit,
        kept.feet,
        summed.quantity,
        coalesce(summed.usd, 0)::decimal(38, 12) as usd,
        kept.part_usd,
        kept.is_kept
    from kept
    left join summed using (season, part)
),

completed as (
    select
        *,
        case
            when
                row_number() over (partition by season, part order by abs(usd) desc, line asc) = 1
                then part_usd - sum(usd) over (partition by season, part)
            else 0
        end as rounding_usd
    from placed
),

amounts as (
    select
        *,
        (usd + rounding_usd)::decimal(38, 12) as amount_usd
    from completed
),

final as (
    select
        season,
        part,
        line,
        case when quantity is not null then unit end as unit,
        feet,
        quantity,
        amount_usd,
        mul_div(1, quantity, feet) as quantity_per_ft,
        mul_div(1, amount_usd, quantity) as usd_per_unit,
        mul_div(1, amount_usd, feet) as usd_per_ft,
        is_kept
    from amounts
)

select * from final
