-- jobs_bear_what_was_read: a season and part of cost whose sum over the jobs, to the cent, is not what control read for
-- it less what it has outside and refused.
with control as (
    select * from audit.control
),

jobs as (
    select * from measures.job_cost
),

read_in as (
    select
        season,
        part,
        sum(read_usd - outside_usd - refused_usd) as usd
    from control
    group by season, part
),

by_part as (
    unpivot (
        select
            season,
            labor_usd as labor,
            materials_usd as materials,
            travel_usd as travel,
            equipment_usd as equipment,
            service_usd as service,
            overhead_usd as overhead
        from jobs
    )
    on labor, materials, travel, equipment, service, overhead
    into
    name part
    value usd
),

borne as (
    select
        season,
        part,
        sum(usd) as usd
    from by_part
    group by season, part
),

final as (
    select
        season,
        part,
        'the jobs bear ' || coalesce(borne.usd, 0) || ' of ' || coalesce(read_in.usd, 0) || ' read in for them' as why
    from read_in
    full join borne using (season, part)
    where coalesce(read_in.usd, 0) <> coalesce(borne.usd, 0)
)

select * from final
