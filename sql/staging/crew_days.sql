-- staging.crew_days: one row a crew, a day and a job it was at (drive, install, service or takedown hours)
-- Built for the run alone: facts.travel_costs holds it, with the miles.
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

days as (
    select
        season,
        branch_set,
        crew,
        work_date,
        count(*) as jobs_that_day
    from visits
    group by season, branch_set, crew, work_date
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
        days.jobs_that_day,
        service_days.job_no is not null as is_service
    from visits
    inner join jobs using (season, branch, job_no)
    inner join days
        on
            visits.season = days.season
            and visits.branch_set = days.branch_set
            and visits.crew = days.crew
            and visits.work_date = days.work_date
    left join service_days
        on
            visits.season = service_days.season
            and visits.branch = service_days.branch
            and visits.job_no = service_days.job_no
            and visits.work_date = service_days.work_date
)

select * from final
