-- staging.job_weights: one row an accepted job, with what amounts are spread by
-- Feet are the sum of the job's runs, over all surfaces; without runs the job's own feet. Direct hours have a job and
-- one of the tasks prep, drive, install, service, takedown, storage.
-- columns:
--   season: season
--   branch: branch
--   branch_set: branches closed together
--   job_no: job
--   feet: fastened feet; null: not known
--   direct_hours: direct hours
--   revenue: roofline work invoiced, usd
with jobs as (
    select * from records.jobs
),

runs as (
    select * from records.runs
),

entries as (
    select * from staging.work_entries
),

run_feet as (
    select
        season,
        branch,
        job_no,
        sum(feet) as feet
    from runs
    group by season, branch, job_no
),

hours as (
    select
        season,
        branch,
        job_no,
        sum(hours) as direct_hours
    from entries
    where
        place = 'accepted'
        and job_no is not null
        and task in ('prep', 'drive', 'install', 'service', 'takedown', 'storage')
    group by season, branch, job_no
),

final as (
    select
        jobs.season,
        jobs.branch,
        jobs.branch_set,
        jobs.job_no,
        coalesce(run_feet.feet, jobs.feet)::decimal(26, 12) as feet,
        coalesce(hours.direct_hours, 0)::decimal(26, 12) as direct_hours,
        jobs.invoiced::decimal(26, 12) as revenue
    from jobs
    left join run_feet using (season, branch, job_no)
    left join hours using (season, branch, job_no)
)

select * from final
