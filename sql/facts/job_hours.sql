-- facts.job_hours: one row a job.
-- Its size and kind, and the person-hours that were spent on it, by task, over all crews.
-- Inputs: records.jobs, records.runs (feet), records.hours (hours, h).
-- Feet are the sum of the job's runs, and jobs.feet where it has none. A job without any hours has null hours: nobody
-- wrote them down. Hours of other work and indirect hours are not here.
-- columns:
--   season: year in which the season starts
--   branch: branch that did the job
--   job_no: the job
--   crew: the crew that led the installation
--   customer_no: the customer
--   property_no: the property
--   work: new or repeat
--   terms: leased or sold
--   stories: highest eave worked, in stories
--   slope: roof slope, inches of rise in 12
--   install_date: day the installation was finished
--   week: Monday of the week of install_date
--   feet: fastened roofline feet
--   workers: workers with install hours on the job
--   prep_hours: hours of preparation, h
--   install_hours: hours of installation, h
--   drive_hours: hours of driving, h
--   takedown_hours: hours of takedown, h
--   service_hours: hours of service, h
--   storage_hours: hours of storing the goods, h
--   share_gutter: share of the runs' feet on gutters; null without runs
--   share_shingle: share of the runs' feet on shingles; null without runs
--   share_ridge: share of the runs' feet on ridges; null without runs
--   share_masonry: share of the runs' feet on masonry; null without runs
--   share_trim: share of the runs' feet on trim; null without runs
--   share_ground: share of the runs' feet on the ground; null without runs
--   share_other: share of the runs' feet on other surfaces; null without runs

with jobs as (
    select * from records.jobs
),

runs as (
    select * from records.runs
),

hours as (
    select * from records.hours
),

run_feet as (
    select
        season,
        branch,
        job_no,
        sum(feet) as feet,
        coalesce(sum(feet) filter (where surface = 'gutter'), 0) as gutter_feet,
        coalesce(sum(feet) filter (where surface = 'shingle'), 0) as shingle_feet,
        coalesce(sum(feet) filter (where surface = 'ridge'), 0) as ridge_feet,
        coalesce(sum(feet) filter (where surface = 'masonry'), 0) as masonry_feet,
        coalesce(sum(feet) filter (where surface = 'trim'), 0) as trim_feet,
        coalesce(sum(feet) filter (where surface = 'ground'), 0) as ground_feet,
        coalesce(sum(feet) filter (where surface = 'other'), 0) as other_feet
    from runs
    group by season, branch, job_no
),

task_hours as (
    select
        season,
        branch,
        job_no,
        count(distinct worker_no) filter (where task = 'install') as workers,
        coalesce(sum(hours) filter (where task = 'prep'), 0) as prep_hours,
        coalesce(sum(hours) filter (where task = 'install'), 0) as install_hours,
        coalesce(sum(hours) filter (where task = 'drive'), 0) as drive_hours,
        coalesce(sum(hours) filter (where task = 'takedown'), 0) as takedown_hours,
        coalesce(sum(hours) filter (where task = 'service'), 0) as service_hours,
        coalesce(sum(hours) filter (where task = 'storage'), 0) as storage_hours
    from hours
    where job_no is not null
    group by season, branch, job_no
),

final as (
    select
        jobs.season,
        jobs.branch,
        jobs.job_no,
        jobs.crew,
        jobs.customer_no,
        jobs.property_no,
        jobs.work,
        jobs.terms,
        jobs.stories,
        jobs.slope,
        jobs.install_date,
        date_trunc('week', jobs.install_date)::date as week,
        coalesce(run_feet.feet, jobs.feet)::decimal(26, 12) as feet,
        task_hours.workers,
        task_hours.prep_hours::decimal(26, 12) as prep_hours,
        task_hours.install_hours::decimal(26, 12) as install_hours,
        task_hours.drive_hours::decimal(26, 12) as drive_hours,
        task_hours.takedown_hours::decimal(26, 12) as takedown_hours,
        task_hours.service_hours::decimal(26, 12) as service_hours,
        task_hours.storage_hours::decimal(26, 12) as storage_hours,
        run_feet.gutter_feet / run_feet.feet as share_gutter,
        run_feet.shingle_feet / run_feet.feet as share_shingle,
        run_feet.ridge_feet / run_feet.feet as share_ridge,
        run_feet.masonry_feet / run_feet.feet as share_masonry,
        run_feet.trim_feet / run_feet.feet as share_trim,
        run_feet.ground_feet / run_feet.feet as share_ground,
        run_feet.other_feet / run_feet.feet as share_other
    from jobs
    left join run_feet using (season, branch, job_no)
    left join task_hours using (season, branch, job_no)
)

select * from final
