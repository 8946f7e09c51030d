-- measures.service_cost: one row a season and branch (and all), with what its faults cost
-- Service cost is the part service of the jobs. Only where service calls were handed in; usd.
-- columns:
--   season: season
--   branch: branch, or all
--   calls: service calls
--   chargeable_calls: of these, calls that the customer is charged for
--   failed_points: points that failed
--   service_usd: cost of service
--   usd_per_call: service cost / calls
--   usd_per_point: service cost / failed points
with jobs as (
    select * from measures.job_cost
),

calls as (
    select * from records.service_calls
),

handed_in as (
    select * from staging.handed_in
    where record_table = 'service_calls'
),

costs as (
    select
        jobs.season,
        jobs.branch,
        sum(jobs.service_usd) as service_usd
    from jobs
    semi join handed_in using (season, branch)
    group by jobs.season, jobs.branch
),

counts as (
    select
        season,
        branch,
        count(*) as calls,
        count(*) filter (where chargeable) as chargeable_calls,
        sum(points) as failed_points
    from calls
    group by season, branch
),

summed as (
    select
        costs.season,
        coalesce(costs.branch, 'all') as branch,
        coalesce(sum(counts.calls), 0)::integer as calls,
        coalesce(sum(counts.chargeable_calls), 0)::integer as chargeable_calls,
        coalesce(sum(counts.failed_points), 0)::integer as failed_points,
        sum(costs.service_usd)::decimal(18, 2) as service_usd
    from costs
    left join counts using (season, branch)
    group by grouping sets ((costs.season, costs.branch), (costs.season))
),

final as (
    select
        *,
        service_usd / nullif(calls, 0) as usd_per_call,
        service_usd / nullif(failed_points, 0) as usd_per_point
    from summed
)

select * from final
