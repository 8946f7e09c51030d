-- facts.connection_exposure: one row a job and kind of connection.
-- How many connections stood lit for how many nights, and how many of their points failed.
-- Inputs: records.jobs (lit_nights), records.connections (count), records.service_calls (points, call and fixed date).
-- A failed point is down from its call to its repair, within the nights that the job is lit; an open call is down to
-- the end. Points of a kind that the job's connections do not list stand with 0 connections. Calls of kind none are not
-- at a connection; calls whose kind is not known are counted in facts.connection_counts. A season without a
-- connections sheet has no rows; without a service_calls sheet failed_points is null.
-- Built for the run alone: facts.connection_counts and the measures of failures hold its sums.
-- columns:
--   season: year in which the season starts
--   branch: branch of the job
--   job_no: the job
--   crew: crew that led the installation
--   kind: kind of connection
--   connections: connections built
--   lit_nights: nights that the job was lit
--   nights_down: point-nights lost to failures
--   connection_nights: connections x lit_nights less nights_down, never below 0
--   failed_points: points that failed; null where service calls were not handed in

with jobs as (
    select * from records.jobs
),

connections as (
    select * from records.connections
),

service_calls as (
    select * from records.service_calls
),

handed_in as (
    select * from staging.handed_in
),

built as (
    select
        season,
        branch,
        job_no,
        kind,
        sum(count) as connections
    from connections
    group by season, branch, job_no, kind
),

calls as (
    select
        service_calls.season,
        service_calls.branch,
        service_calls.job_no,
        service_calls.connection_kind as kind,
        coalesce(service_calls.points, 1) as points,
        greatest(service_calls.call_date, jobs.install_date) as down_from,
        least(
            coalesce(service_calls.fixed_date, jobs.install_date + jobs.lit_nights),
            jobs.install_date + jobs.lit_nights
        ) as down_to
    from service_calls
    inner join jobs using (season, branch, job_no)
    inner join handed_in
        on
            service_calls.season = handed_in.season
            and service_calls.branch = handed_in.branch
            and handed_in.record_table = 'connections'
    where service_calls.connection_kind is not null and service_calls.connection_kind <> 'none'
),

failed as (
    select
        season,
        branch,
        job_no,
        kind,
        sum(points) as failed_points,
        sum(points * greatest(0, down_to - down_from)) as nights_down
    from calls
    group by season, branch, job_no, kind
),

job_kinds as (
    select
        season,
        branch,
        job_no,
        kind,
        coalesce(built.connections, 0) as connections,
        coalesce(failed.failed_points, 0) as failed_points,
        coalesce(failed.nights_down, 0) as nights_down
    from built
    full join failed using (season, branch, job_no, kind)
),

final as (
    select
        job_kinds.season,
        job_kinds.branch,
        job_kinds.job_no,
        jobs.crew,
        job_kinds.kind,
        job_kinds.connections::bigint as connections,
        jobs.lit_nights,
        job_kinds.nights_down::bigint as nights_down,
        greatest(0, job_kinds.connections * jobs.lit_nights - job_kinds.nights_down)::bigint as connection_nights,
        case when handed_in.season is not null then job_kinds.failed_points end::bigint as failed_points
    from job_kinds
    inner join jobs using (season, branch, job_no)
    left join handed_in
        on
            job_kinds.season = handed_in.season
            and job_kinds.branch = handed_in.branch
            and handed_in.record_table = 'service_calls'
)

select * from final
