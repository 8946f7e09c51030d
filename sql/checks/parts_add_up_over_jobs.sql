-- parts_add_up_over_jobs: a season and part of cost whose cents over the jobs are not what was put on jobs.
with job_parts as (
    select * from facts.job_parts
),

direct as (
    select * from facts.direct_costs
),

pools as (
    select * from facts.pools
),

over_jobs as (
    select
        season,
        part,
        sum(part_usd) as jobs_usd
    from job_parts
    group by season, part
),

amounts as (
    select
        season,
        part,
        direct_usd as usd
    from direct
    union all
    select
        season,
        part,
        pool_usd as usd
    from pools
),

put as (
    select
        season,
        part,
        to_cents(sum(usd)) as put_usd
    from amounts
    group by season, part
),

final as (
    select
        season,
        part,
        'the jobs hold ' || coalesce(over_jobs.jobs_usd, 0) || ' but ' || coalesce(put.put_usd, 0) || ' was put on them'
            as why
    from over_jobs
    full join put using (season, part)
    where coalesce(over_jobs.jobs_usd, 0) <> coalesce(put.put_usd, 0)
)

select * from final
