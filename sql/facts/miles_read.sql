-- facts.miles_read: one row a season and place, with what was read in for miles
-- Trips as written, row by row; for a crew's day without a trip the drive miles of its jobs / their number. Nothing is
-- shared out to jobs here: control compares it with what the jobs got.
-- Inputs: records and refused trips (miles), staging.crew_days, reference.mile_rates and mile_cost (usd a mile).
-- columns:
--   season: season
--   place: accepted or refused
--   read_usd: miles x rate of the day, exact
with trips as (
    select * from records.trips
),

refused_trips as (
    select * from refused.trips
),

crew_days as (
    select * from staging.crew_days
),

firm as (
    select * from staging.firm_settings
),

rates as (
    select * from reference.mile_rates
),

driven as (
    select
        season,
        'accepted' as place,
        trip_date as day,
        miles
    from trips
    union all
    select
        season,
        'refused' as place,
        trip_date as day,
        miles
    from refused_trips
    union all
    select
        crew_days.season,
        'accepted' as place,
        crew_days.work_date as day,
        mul_div(sum(crew_days.drive_miles)::decimal(26, 12), 1, count(*)) as miles
    from crew_days
    anti join trips
        on
            crew_days.season = trips.season
            and crew_days.branch_set = trips.branch_set
            and crew_days.crew = trips.crew
            and crew_days.work_date = trips.trip_date
    group by crew_days.season, crew_days.branch_set, crew_days.crew, crew_days.work_date
),

final as (
    select
        driven.season,
        driven.place,
        sum((driven.miles::decimal(26, 12) * coalesce(firm.mile_cost, rates.usd_per_mile))::decimal(38, 12))::decimal(
            38, 12
        ) as read_usd
    from driven
    inner join firm using (season)
    left join rates
        on driven.day >= rates.from_date and driven.day <= coalesce(rates.to_date, date '9999-12-31')
    where driven.miles is not null
    group by driven.season, driven.place
)

select * from final
