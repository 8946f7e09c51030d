-- measures.failure_causes: one row a season, branch (and all) and cause of a fault.
-- Inputs: records.service_calls. Every call counts, at a connection or not.
-- columns:
--   season: year in which the season starts
--   branch: branch; all for the firm
--   cause: what had gone wrong
--   calls: calls with this cause
--   points: points that failed for it
--   share: points / points of all causes of the branch; null where no point failed

with service_calls as (
    select * from records.service_calls
),

counts as (
    select
        season,
        case when grouping(branch) = 1 then 'all' else branch end as branch,
        cause,
        count(*)::bigint as calls,
        sum(coalesce(points, 1))::bigint as points
    from service_calls
    group by grouping sets ((season, branch, cause), (season, cause))
),

final as (
    select
        *,
        points / nullif(sum(points) over (partition by season, branch), 0) as share
    from counts
)

select * from final
