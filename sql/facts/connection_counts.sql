-- facts.connection_counts: one row a season, branch (and all) and kind of connection (and all).
-- What the failure rates are made of; measures.connection_failures adds the rates and their limits.
-- Inputs: facts.connection_exposure, records.service_calls (points of calls whose kind is not known).
-- Points of unknown kind are in no kind's failed_points and not in all's: any of them could be of any kind, or not at a
-- connection. Where only some branches handed in service calls, failed_points of all is null, since it is not known.
-- columns:
--   season: year in which the season starts
--   branch: branch; all for the firm
--   kind: kind of connection; all for every kind
--   connections: connections built
--   connection_nights: connections x lit nights, less the nights that failed points were down
--   failed_points: points that failed; null where service calls were not handed in
--   unknown_kind_points: points of the branch's calls whose kind is not known, the same for each kind

with exposure as (
    select * from facts.connection_exposure
),

service_calls as (
    select * from records.service_calls
),

by_branch_and_kind as (
    select
        season,
        case when grouping(branch) = 1 then 'all' else branch end as branch,
        case when grouping(kind) = 1 then 'all' else kind end as kind,
        sum(connections)::bigint as connections,
        sum(connection_nights)::bigint as connection_nights,
        case when bool_and(failed_points is not null) then sum(failed_points) end::bigint as failed_points
    from exposure
    group by grouping sets ((season, branch, kind), (season, branch), (season, kind), (season))
),

unknown as (
    select
        season,
        case when grouping(branch) = 1 then 'all' else branch end as branch,
        sum(coalesce(points, 1))::bigint as points
    from service_calls
    where connection_kind is null
    group by grouping sets ((season, branch), (season))
),

final as (
    select
        by_branch_and_kind.season,
        by_branch_and_kind.branch,
        by_branch_and_kind.kind,
        by_branch_and_kind.connections,
        by_branch_and_kind.connection_nights,
        by_branch_and_kind.failed_points,
        case when by_branch_and_kind.failed_points is not null then coalesce(unknown.points, 0) end::bigint
            as unknown_kind_points
    from by_branch_and_kind
    left join unknown using (season, branch)
)

select * from final
