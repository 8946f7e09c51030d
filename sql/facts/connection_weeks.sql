-- facts.connection_weeks: one row a job, kind of connection and week in which the job was lit or a point of it failed.
-- The same nights and points as facts.connection_exposure, by week, with the surface and the age of what was built.
-- Inputs: facts.connection_exposure, records.jobs (dates), records.runs (ft), records.service_calls (points, date of
-- call), staging.firm_settings (first day of the week).
-- Which nights a job was lit is on no record: they are taken as the lit_nights from installation on, as
-- facts.connection_exposure has them, and the nights that points were down as spread evenly over these. A point failed
-- in the week of its call; a call outside those nights stands in its own week, without nights.
-- Built for the run alone: a row a week is much to keep; measures.failure_weeks holds its sums.
-- columns:
--   season: year in which the season starts
--   branch: branch of the job
--   job_no: the job
--   crew: crew that led the installation
--   surface: surface with the most feet of the job's runs (tie: by name); not known without runs
--   age_seasons: seasons since the lines were cut: 0 for new work; null where repeat work does not say
--   kind: kind of connection
--   week_start: first day of the week
--   connections: connections built, the same for each week
--   connection_nights: connection-nights of the week
--   failed_points: points that failed in the week; null where service calls were not handed in

with exposure as (
    select * from facts.connection_exposure
),

jobs as (
    select * from records.jobs
),

runs as (
    select * from records.runs
),

service_calls as (
    select * from records.service_calls
),

firm as (
    select * from staging.firm_settings
),

surface_feet as (
    select
        season,
        branch,
        job_no,
        surface,
        sum(feet) as feet
    from runs
    group by season, branch, job_no, surface
),

surfaces as (
    select
        season,
        branch,
        job_no,
        surface
    from surface_feet
    qualify row_number() over (partition by season, branch, job_no order by feet desc, surface asc) = 1
),

lit as (
    select
        jobs.season,
        jobs.branch,
        jobs.job_no,
        jobs.lit_nights,
        jobs.install_date as first_day,
        jobs.install_date + jobs.lit_nights - 1 as last_day,
        jobs.install_date - ((isodow(jobs.install_date) - firm.week_start_day + 7) % 7)::integer as first_week
    from jobs
    inner join firm using (season)
    where jobs.lit_nights > 0
),

weeks_lit as (
    select
        *,
        unnest(generate_series(first_week, last_day, interval 7 day))::date as week_start
    from lit
),

job_weeks as (
    select
        season,
        branch,
        job_no,
        week_start,
        least(last_day, week_start + 6) - greatest(first_day, week_start) + 1 as days_of_week,
        lit_nights as days_in_all
    from weeks_lit
),

nights as (
    select
        exposure.season,
        exposure.branch,
        exposure.job_no,
        exposure.kind,
        job_weeks.week_start,
        exposure.connection_nights * job_weeks.days_of_week / job_weeks.days_in_all as connection_nights
    from exposure
    inner join job_weeks using (season, branch, job_no)
),

failed as (
    select
        service_calls.season,
        service_calls.branch,
        service_calls.job_no,
        service_calls.connection_kind as kind,
        service_calls.call_date
        - ((isodow(service_calls.call_date) - firm.week_start_day + 7) % 7)::integer as week_start,
        sum(coalesce(service_calls.points, 1)) as failed_points
    from service_calls
    inner join firm using (season)
    where service_calls.connection_kind is not null and service_calls.connection_kind <> 'none'
    group by all
),

weeks as (
    select
        season,
        branch,
        job_no,
        kind,
        week_start,
        coalesce(nights.connection_nights, 0) as connection_nights,
        coalesce(failed.failed_points, 0) as failed_points
    from nights
    full join failed using (season, branch, job_no, kind, week_start)
),

final as (
    select
        weeks.season,
        weeks.branch,
        weeks.job_no,
        exposure.crew,
        coalesce(surfaces.surface, 'not known') as surface,
        case when jobs.work = 'new' then 0 else jobs.season - jobs.built_season end::integer as age_seasons,
        weeks.kind,
        weeks.week_start,
        exposure.connections,
        weeks.connection_nights::double as connection_nights,
        case when exposure.failed_points is not null then weeks.failed_points end::bigint as failed_points
    from weeks
    inner join exposure using (season, branch, job_no, kind)
    inner join jobs using (season, branch, job_no)
    left join surfaces using (season, branch, job_no)
    where weeks.connection_nights > 0 or weeks.failed_points > 0
)

select * from final
