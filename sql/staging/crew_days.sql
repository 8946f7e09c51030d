-- staging.crew_days: one row a crew, a day and a job it was at (drive, install, service or takedown hours)
-- columns:
--   season: season
--   branch: branch of the job
--   branch_set: branches closed together
--   crew: crew
--   work_date: day
--   job_no: job
--   drive_miles: round trip of one visit, miles; null: not known
--   jobs_that_day: jobs that the crew had that day
--   is_service: whether it was a service day of the job
with entries as (
    select * from staging.work_entries
),

jobs as (
    select * from records.jobs
),

service_days as (
    select * from staging.service_days
),

visits as (
    select distinct
        season,
        branch,
        branch_set,
        crew,
        work_date,
        job_no
    from entries
    where place = 'accepted' and job_no is not null and task in ('drive', 'install', 'service', 'takedown')
),

final as (
    select
        visits.season,
        visits.branch,
        visits.branch_set,
        visits.crew,
        visits.work_date,
        visits.job_no,
        jobs.drive_miles,
        count(*) over (partition by visits.season, visits.branch_set, visits.crew, visits.work_date) as jobs_that_day,
        service_days.job_no is not null as is_service
    from visits
    inner join jobs using (season, branch, job_no)
    left join service_days using (season, branch, job_no, work_date)
)

select * from final
