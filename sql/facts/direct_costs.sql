-- facts.direct_costs: one row a job and part of cost, with what is the job's own
-- Built for the run alone: facts.job_parts holds it, with the shares of common costs.
-- columns:
--   season: season
--   branch: branch
--   branch_set: branches closed together
--   job_no: job
--   part: labor, materials, travel, equipment or service
--   direct_usd: the job's own cost, exact; null where it cannot be known
--   owner_usd: of that, the owner's own hours
with hour_costs as (
    select * from facts.hour_costs
),

travel as (
    select * from facts.travel_costs
),

goods as (
    select * from facts.goods_costs
),

moved as (
    select * from facts.goods_moved
),

equipment as (
    select * from records.equipment
),

pay as (
    select * from records.pay
),

weights as (
    select * from staging.job_weights
),

entries as (
    select
        season,
        branch,
        job_no,
        destination as part,
        loaded_usd as usd,
        case when engaged = 'owner' then loaded_usd else 0 end as owner_usd
    from hour_costs
    where destination in ('labor', 'service')
    union all
    select
        season,
        branch,
        job_no,
        'labor' as part,
        amount as usd,
        0 as owner_usd
    from pay
    where kind = 'subcontract' and job_no is not null
    union all
    select
        season,
        branch,
        job_no,
        part,
        travel_usd as usd,
        0 as owner_usd
    from travel
    where job_no is not null
    union all
    select
        season,
        branch,
        job_no,
        'materials' as part,
        on_job_usd as usd,
        0 as owner_usd
    from goods
    union all
    select
        season,
        branch,
        job_no,
        'service' as part,
        net_usd as usd,
        0 as owner_usd
    from moved
    where place = 'accepted' and is_service
    union all
    select
        season,
        branch,
        job_no,
        'equipment' as part,
        amount as usd,
        0 as owner_usd
    from equipment
    where job_no is not null
),

final as (
    select
        entries.season,
        entries.branch,
        weights.branch_set,
        entries.job_no,
        entries.part,
        sum(entries.usd)::decimal(38, 12) as direct_usd,
        sum(entries.owner_usd)::decimal(38, 12) as owner_usd
    from entries
    inner join weights using (season, branch, job_no)
    group by entries.season, entries.branch, weights.branch_set, entries.job_no, entries.part
)

select * from final
