-- no_job_is_lost: an accepted job that is not in measures.job_cost exactly once.
with jobs as (
    select * from records.jobs
),

costs as (
    select * from measures.job_cost
),

counted as (
    select
        season,
        branch,
        job_no,
        count(*) as times
    from costs
    group by season, branch, job_no
),

final as (
    select
        jobs.season,
        jobs.branch,
        jobs.job_no,
        'the job is there ' || coalesce(counted.times, 0) || ' times' as why
    from jobs
    left join counted using (season, branch, job_no)
    where counted.times is distinct from 1
)

select * from final
