-- staging.service_days: one row a job's day with service (and drive) hours alone, over all crews
-- The drive hours, miles and dated goods of such a day are service; on a day with other work only the service hours.
-- columns:
--   season: season
--   branch: branch
--   job_no: job
--   work_date: day
with entries as (
    select * from staging.work_entries
),

final as (
    select
        season,
        branch,
        job_no,
        work_date
    from entries
    where place = 'accepted' and job_no is not null
    group by season, branch, job_no, work_date
    having bool_or(task = 'service') and bool_and(task in ('service', 'drive'))
)

select * from final
