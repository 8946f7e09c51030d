-- measures.crew_hours: one row a season, branch and crew.
-- The person-hours of a crew on its jobs, and what they come to for 100 roofline feet. Preparation counts beside
-- installation: lines bulbed in the shop are not hung faster for nothing. Where several crews worked on a job its
-- feet go by their prep and install hours.
-- Inputs: facts.job_hours (feet), records.hours (hours, h).
-- Hours on jobs without feet are left out. Hours per foot are not a target for a person on a ladder.
-- columns:
--   season: year in which the season starts
--   branch: branch of the jobs
--   crew: crew that did the hours
--   jobs: jobs on which the crew had prep or install hours
--   feet: the crew's part of their roofline feet
--   prep_hours: hours of preparation, h
--   install_hours: hours of installation, h
--   takedown_hours: hours of takedown, h
--   service_hours: hours of service, h
--   drive_hours: hours of driving, h
--   hours_per_100_ft: (prep_hours + install_hours) / feet x 100; null without feet
--   install_hours_per_100_ft: install_hours / feet x 100; null without feet

with job_hours as (
    select * from facts.job_hours
),

hours as (
    select * from records.hours
),

on_jobs as (
    select
        hours.season,
        hours.branch,
        hours.job_no,
        hours.crew,
        any_value(job_hours.feet) as job_feet,
        any_value(job_hours.prep_hours + job_hours.install_hours) as job_building_hours,
        coalesce(sum(hours.hours) filter (where hours.task = 'prep'), 0) as prep_hours,
        coalesce(sum(hours.hours) filter (where hours.task = 'install'), 0) as install_hours,
        coalesce(sum(hours.hours) filter (where hours.task = 'takedown'), 0) as takedown_hours,
        coalesce(sum(hours.hours) filter (where hours.task = 'service'), 0) as service_hours,
        coalesce(sum(hours.hours) filter (where hours.task = 'drive'), 0) as drive_hours
    from hours
    inner join job_hours
        on
            hours.season = job_hours.season
            and hours.branch = job_hours.branch
            and hours.job_no = job_hours.job_no
    where
        hours.task in ('prep', 'install', 'takedown', 'service', 'drive')
        and job_hours.feet is not null
    group by hours.season, hours.branch, hours.job_no, hours.crew
),

parts as (
    select
        *,
        prep_hours + install_hours as building_hours,
        case
            when prep_hours + install_hours = 0 then 0
            when prep_hours + install_hours = job_building_hours then job_feet
            else (job_feet * ((prep_hours + install_hours) / job_building_hours))::decimal(26, 12)
        end as feet
    from on_jobs
),

crews as (
    select
        season,
        branch,
        crew,
        count(*) filter (where building_hours > 0) as jobs,
        sum(feet)::decimal(26, 12) as feet,
        sum(prep_hours)::decimal(26, 12) as prep_hours,
        sum(install_hours)::decimal(26, 12) as install_hours,
        sum(takedown_hours)::decimal(26, 12) as takedown_hours,
        sum(service_hours)::decimal(26, 12) as service_hours,
        sum(drive_hours)::decimal(26, 12) as drive_hours
    from parts
    group by season, branch, crew
),

final as (
    select
        *,
        (prep_hours + install_hours) / nullif(feet, 0) * 100 as hours_per_100_ft,
        install_hours / nullif(feet, 0) * 100 as install_hours_per_100_ft
    from crews
)

select * from final
