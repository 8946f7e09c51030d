-- no_failed_point_is_lost: a season with connections whose failed points, known and unknown, are not all counted.
with service_calls as (
    select * from records.service_calls
),

handed_in as (
    select * from staging.handed_in
),

counts as (
    select * from facts.connection_counts
),

called as (
    select
        service_calls.season,
        service_calls.branch,
        sum(coalesce(service_calls.points, 1)) as points
    from service_calls
    inner join handed_in
        on
            service_calls.season = handed_in.season
            and service_calls.branch = handed_in.branch
            and handed_in.record_table = 'connections'
    where service_calls.connection_kind <> 'none' and service_calls.connection_kind is not null
    group by service_calls.season, service_calls.branch
),

counted as (
    select
        season,
        branch,
        failed_points
    from counts
    where kind = 'all' and branch <> 'all'
),

final as (
    select
        season,
        branch,
        'the calls name ' || coalesce(called.points, 0) || ' failed points at connections but '
        || coalesce(counted.failed_points, 0) || ' are counted' as why
    from called
    full join counted using (season, branch)
    where coalesce(called.points, 0) <> coalesce(counted.failed_points, 0)
)

select * from final
