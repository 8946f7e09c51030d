-- facts.call_waits: one row a service call, with how long the customer waited.
-- Inputs: records.service_calls (dates), records.jobs (takedown).
-- A call that was not mended is known to have waited until the job was taken down, else to the last day that any call
-- of the season shows, and no longer.
-- columns:
--   season: year in which the season starts
--   branch: branch of the job
--   job_no: the job
--   call_no: the call
--   days: calendar days from the call to its mending, or as long as it is known to have been open
--   is_mended: whether it was mended

with service_calls as (
    select * from records.service_calls
),

jobs as (
    select * from records.jobs
),

last_days as (
    select
        season,
        max(greatest(call_date, coalesce(fixed_date, call_date))) as last_day
    from service_calls
    group by season
),

final as (
    select
        service_calls.season,
        service_calls.branch,
        service_calls.job_no,
        service_calls.call_no,
        greatest(
            0,
            coalesce(service_calls.fixed_date, jobs.takedown_date, last_days.last_day) - service_calls.call_date
        )::integer as days,
        service_calls.fixed_date is not null as is_mended
    from service_calls
    inner join last_days using (season)
    inner join jobs using (season, branch, job_no)
)

select * from final
