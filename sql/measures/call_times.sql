-- measures.call_times: one row a season and branch (and all) that handed in service calls.
-- How long customers wait: calendar days from the call to the repair, over the calls that were mended.
-- Inputs: records.service_calls (dates), staging.handed_in.
-- Quantiles lie between two calls where they must (linear interpolation).
-- columns:
--   season: year in which the season starts
--   branch: branch; all for the firm
--   calls: calls; 0 where the sheet was empty
--   open_calls: calls that were not mended
--   median_days: days that half of the mended calls waited at most; null without mended calls
--   p90_days: days that 9 in 10 of the mended calls waited at most; null without mended calls

with service_calls as (
    select * from records.service_calls
),

handed_in as (
    select * from staging.handed_in
),

waits as (
    select
        handed_in.season,
        handed_in.branch,
        service_calls.call_no,
        service_calls.fixed_date - service_calls.call_date as days
    from handed_in
    left join service_calls
        on
            handed_in.season = service_calls.season
            and handed_in.branch = service_calls.branch
    where handed_in.record_table = 'service_calls'
),

final as (
    select
        season,
        case when grouping(branch) = 1 then 'all' else branch end as branch,
        count(call_no)::bigint as calls,
        (count(call_no) - count(days))::bigint as open_calls,
        quantile_cont(days, 0.5)::double as median_days,
        quantile_cont(days, 0.9)::double as p90_days
    from waits
    group by grouping sets ((season, branch), (season))
)

select * from final
