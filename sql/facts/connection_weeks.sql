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

job_kinds as (
    select
        exposure.season,
        exposure.branch,
        exposure.job_no,
        exposure.crew,
        coalesce(surfaces.surface, 'not known') as surface,
        case when jobs.work = 'new' then 0 else jobs.season - jobs.built_season end::integer as age_seasons,
        exposure.kind,
        exposure.connections,
        exposure.connection_nights,
        exposure.failed_points is not null as are_calls_known,
        jobs.lit_nights as days_in_all,
        jobs.install_date as first_day,
        jobs.install_date + jobs.lit_nights - 1 as last_day,
        jobs.install_date - ((isodow(jobs.install_date) - firm.week_start_day + 7) % 7)::integer as first_week
    from exposure
    inner join jobs using (season, branch, job_no)
    inner join firm using (season)
    left join surfaces using (season, branch, job_no)
),

weeks_lit as (
    select
        *,
        unnest(generate_series(first_week, last_day, interval 7 day))::date as week_start
    from job_kinds
    where days_in_all > 0
),

-- Jobs are put together before their weeks are told apart: there are several times as many weeks.
nights as (
    select
        weeks_lit.* exclude (connection_nights),
        least(weeks_lit.last_day, weeks_lit.week_start + 6)
        - greatest(weeks_lit.first_day, weeks_lit.week_start) + 1 as days_of_week,
        weeks_lit.connection_nights * days_of_week / weeks_lit.days_in_all as connection_nights,
        coalesce(failed.failed_points, 0) as failed_points
    from weeks_lit
    left join failed using (season, branch, job_no, kind, week_start)
),

failed_outside as (
    select
        job_kinds.* exclude (connection_nights),
        failed.week_start,
        0 as days_of_week,
        0 as connection_nights,
        failed.failed_points
    from failed
    inner join job_kinds using (season, branch, job_no, kind)
    where not coalesce(
        job_kinds.days_in_all > 0 and failed.week_start between job_kinds.first_week and job_kinds.last_day, false
    )
),

weeks as (
    select * from nights
    union all by name
    select * from failed_outside
),

final as (
    select
        season,
        branch,
        job_no,
        crew,
        surface,
        age_seasons,
        kind,
        week_start,
        connections,
        connection_nights::double as connection_nights,
        case when are_calls_known then failed_points end::bigint as failed_points
    from weeks
    where connection_nights > 0 or failed_points > 0
)

select * from final
