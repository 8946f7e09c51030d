-- measures.failure_repeats: one row a season, branch (and all) and kind of connection (and all) that failed.
-- How often a job's connections of a kind failed again. The records name the kind and not the point: a later failure
-- may be of the same point or of another one of its kind, and is surely of the same only where more points failed
-- than the job has. A point that was mended is at risk again, so that each of its failures counts in the rates.
-- Inputs: records.service_calls (points), facts.connection_exposure (connections).
-- columns:
--   season: year in which the season starts
--   branch: branch; all for the firm
--   kind: kind of connection; all for every kind
--   jobs_failed: jobs of which a connection of the kind failed; over all kinds, pairs of a job and a kind
--   jobs_failed_again: of these, jobs with a later call for the same kind
--   failed_points: points that failed
--   later_points: points that failed on a job's later calls for the same kind: at most so many failed again
--   sure_repeats: points that failed beyond the number that the job has: at least so many failed again

with service_calls as (
    select * from records.service_calls
),

exposure as (
    select * from facts.connection_exposure
),

numbered as (
    select
        season,
        branch,
        job_no,
        connection_kind as kind,
        coalesce(points, 1) as points,
        rank() over (partition by season, branch, job_no, connection_kind order by call_date) as place
    from service_calls
    where connection_kind is not null and connection_kind <> 'none'
),

jobs as (
    select
        numbered.season,
        numbered.branch,
        numbered.job_no,
        numbered.kind,
        exposure.connections,
        sum(numbered.points) as failed_points,
        coalesce(sum(numbered.points) filter (where numbered.place > 1), 0) as later_points
    from numbered
    inner join exposure using (season, branch, job_no, kind)
    group by numbered.season, numbered.branch, numbered.job_no, numbered.kind, exposure.connections
),

final as (
    select
        season,
        case when grouping(branch) = 1 then 'all' else branch end as branch,
        case when grouping(kind) = 1 then 'all' else kind end as kind,
        count(*)::bigint as jobs_failed,
        count(*) filter (where later_points > 0)::bigint as jobs_failed_again,
        sum(failed_points)::bigint as failed_points,
        sum(later_points)::bigint as later_points,
        sum(case when connections > 0 then greatest(0, failed_points - connections) else 0 end)::bigint
            as sure_repeats
    from jobs
    group by grouping sets ((season, branch, kind), (season, branch), (season, kind), (season))
)

select * from final
