-- facts.failure_costs: one row a job that had a service call or a cost of service, where service calls were handed in.
-- What the realized cost of a fault is made of, job by job, so that its spread is known.
-- Inputs: measures.job_cost (usd), records.service_calls (points), staging.handed_in.
-- columns:
--   season: year in which the season starts
--   branch: branch of the job
--   job_no: the job
--   calls: service calls
--   points: points that failed on them, at connections or not
--   service_usd: cost of service

with job_cost as (
    select * from measures.job_cost
),

service_calls as (
    select * from records.service_calls
),

handed_in as (
    select * from staging.handed_in
    where record_table = 'service_calls'
),

calls as (
    select
        season,
        branch,
        job_no,
        count(*) as calls,
        sum(coalesce(points, 1)) as points
    from service_calls
    group by season, branch, job_no
),

final as (
    select
        job_cost.season,
        job_cost.branch,
        job_cost.job_no,
        coalesce(calls.calls, 0)::bigint as calls,
        coalesce(calls.points, 0)::bigint as points,
        job_cost.service_usd
    from job_cost
    inner join handed_in using (season, branch)
    left join calls using (season, branch, job_no)
    where calls.calls > 0 or job_cost.service_usd <> 0
)

select * from final
