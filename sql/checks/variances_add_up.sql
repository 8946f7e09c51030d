-- variances_add_up: a season and part of cost whose variances are not the difference from the season before.
with variances as (
    select * from measures.variances
),

season_cost as (
    select * from measures.season_cost
    where branch = 'all'
),

parts as (
    unpivot (
        select
            season,
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
    value usd
),

sums as (
    select
        season,
        base_season,
        part,
        sum(variance_usd) as variance_usd
    from variances
    group by season, base_season, part
),

final as (
    select
        sums.season,
        sums.part,
        'the variances add up to ' || sums.variance_usd || ' and the difference is ' || (now_cost.usd - before.usd)
            as why
    from sums
    inner join parts as now_cost on sums.season = now_cost.season and sums.part = now_cost.part
    inner join parts as before on sums.base_season = before.season and sums.part = before.part
    where sums.variance_usd <> now_cost.usd - before.usd
)

select * from final
