-- facts.cost_lines: one row a season, kind of work, part of cost and line, with what it cost and in which quantity
-- Lines: labor by task in hours, and pay that is not by the hour (subcontract); materials by item, in units of the item
-- that the season bears (what was expensed and the season's share of leased goods, both at the season's unit cost), and
-- goods that no job bears alone; travel in miles; service in failed points, where service calls were handed in;
-- equipment; overhead that is fixed and that varies. Hours whose wage is not known and subcontract hours are no
-- quantity: nothing was paid by them. The lines of a part add up to the part over all jobs.
-- Inputs: facts.hour_costs (h), facts.goods_costs, facts.unit_costs, facts.travel_costs (miles), facts.job_parts,
-- records.service_calls (points), records.overheads; usd.
-- Built for the run alone: measures.standard_cost holds its sums.
-- columns:
--   season: season
--   work: new or repeat; null: no job bears it alone
--   terms: leased or sold; null: no job bears it alone
--   part: labor, materials, travel, equipment, service or overhead
--   line: task, item, or what else the part is made of
--   unit: h, the item's unit, miles or points; null: no quantity
--   quantity: how much of it; null: no quantity
--   usd: what it cost, exact
with hour_costs as (
    select * from facts.hour_costs
),

goods as (
    select * from facts.goods_costs
),

unit_costs as (
    select * from facts.unit_costs
),

travel as (
    select * from facts.travel_costs
),

calls as (
    select * from records.service_calls
),

overheads as (
    select * from records.overheads
),

job_parts as (
    select * from facts.job_parts
),

jobs as (
    select
        season,
        branch,
        job_no,
        work,
        terms
    from records.jobs
),

goods_of_jobs as (
    select
        goods.season,
        goods.branch,
        goods.job_no,
        goods.item_no,
        unit_costs.unit,
        goods.on_job_usd,
        unit_costs.cost_usd,
        unit_costs.cost_quantity
    from goods
    left join unit_costs using (season, item_no)
    where goods.on_job_usd is not null
),

known as (
    select
        season,
        branch,
        job_no,
        'labor' as part,
        task as line,
        'h' as unit,
        case when is_priced and engaged <> 'subcontract' then hours end as quantity,
        loaded_usd as usd
    from hour_costs
    where destination in ('labor', 'indirect')
    union all
    select
        season,
        branch,
        job_no,
        'materials' as part,
        item_no as line,
        unit,
        mul_div(on_job_usd, cost_quantity, cost_usd) as quantity,
        on_job_usd as usd
    from goods_of_jobs
    union all
    select
        season,
        branch,
        job_no,
        'travel' as part,
        'miles' as line,
        'miles' as unit,
        miles as quantity,
        travel_usd as usd
    from travel
    where part = 'travel' and travel_usd is not null
    union all
    select
        season,
        branch,
        job_no,
        'service' as part,
        'failed_points' as line,
        'points' as unit,
        points as quantity,
        0 as usd
    from calls
    union all
    select
        season,
        branch,
        null as job_no,
        'overhead' as part,
        behaves as line,
        null as unit,
        null as quantity,
        amount as usd
    from overheads
),

by_work as (
    select
        known.season,
        jobs.work,
        jobs.terms,
        known.part,
        known.line,
        known.unit,
        sum(known.quantity)::decimal(38, 12) as quantity,
        sum(known.usd)::decimal(38, 12) as usd
    from known
    left join jobs using (season, branch, job_no)
    group by known.season, jobs.work, jobs.terms, known.part, known.line, known.unit
),

known_parts as (
    select
        season,
        part,
        sum(usd) as usd
    from by_work
    group by season, part
),

whole_parts as (
    select
        season,
        part,
        sum(exact_usd) as usd
    from job_parts
    group by season, part
),

-- What no line above names: a difference of no more than division's dust is no line.
rest as (
    select
        whole_parts.season,
        null as work,
        null as terms,
        whole_parts.part,
        case whole_parts.part
            when 'labor' then 'not_by_the_hour'
            when 'materials' then 'without_job'
            when 'service' then 'failed_points'
            else whole_parts.part
        end as line,
        case when whole_parts.part = 'service' then 'points' end as unit,
        null::decimal(38, 12) as quantity,
        (whole_parts.usd - coalesce(known_parts.usd, 0))::decimal(38, 12) as usd
    from whole_parts
    left join known_parts using (season, part)
    where abs(whole_parts.usd - coalesce(known_parts.usd, 0)) > 0.000001
),

final as (
    select * from by_work
    union all
    select * from rest
)

select * from final
