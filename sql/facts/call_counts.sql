-- facts.call_counts: one row a season and branch (and all) that handed in service calls.
-- Inputs: records.service_calls, staging.handed_in.
-- columns:
--   season: year in which the season starts
--   branch: branch; all for the firm
--   calls: calls; 0 where the sheet was empty
--   open_calls: calls that were not mended

with service_calls as (
    select * from records.service_calls
),

handed_in as (
    select * from staging.handed_in
    where record_table = 'service_calls'
),

final as (
    select
        handed_in.season,
        case when grouping(handed_in.branch) = 1 then 'all' else handed_in.branch end as branch,
        count(service_calls.call_no)::bigint as calls,
        count(service_calls.call_no) filter (where service_calls.fixed_date is null)::bigint as open_calls
    from handed_in
    left join service_calls using (season, branch)
    group by grouping sets ((handed_in.season, handed_in.branch), (handed_in.season))
)

select * from final
