-- facts.travel_costs: one row a share of a crew's day on the road, with the job that bears it
-- The miles of trips go over the crew's jobs of the day by drive_miles (equally where all are 0 or unknown); without a
-- trip of that crew and day each job bears drive_miles / the jobs of the crew that day; a trip on a day without a job
-- is spread as an indirect cost over its own branch, else the crew's home, else all. The rate is the federal business
-- rate of the day, or the setting mile_cost.
-- columns:
--   season: season
--   branch: branch of the job; for a trip without jobs the branch that bears it, null: all
--   branch_set: branches closed together
--   job_no: job; null for a trip without jobs
--   part: travel, or service on a service day
--   crew: crew
--   work_date: day
--   miles: miles; null: not known
--   travel_usd: miles x rate, exact; null: not known
with trips as (
    select * from records.trips
),

crew_days as (
    select * from staging.crew_days
),

homes as (
    select * from staging.crew_homes
),

firm as (
    select * from staging.firm_settings
),

rates as (
    select * from reference.mile_rates
),

trip_days as (
    select
        season,
        branch_set,
        crew,
        trip_date as work_date,
        sum(miles)::decimal(26, 12) as miles
    from trips
    group by season, branch_set, crew, trip_date
),

days_driven as (
    select
        season,
        branch_set,
        crew,
        work_date,
        coalesce(sum(drive_miles), 0)::decimal(26, 12) as day_miles
    from crew_days
    group by season, branch_set, crew, work_date
),

-- Miles x part / whole: a trip by drive miles, else a trip or the drive miles by the number of jobs.
weighted as (
    select
        crew_days.*,
        coalesce(trip_days.miles, crew_days.drive_miles) as shared_miles,
        case
            when trip_days.miles is not null and days_driven.day_miles > 0 then coalesce(crew_days.drive_miles, 0)
            else 1
        end::decimal(26, 12) as part,
        case
            when trip_days.miles is not null and days_driven.day_miles > 0 then days_driven.day_miles
            else crew_days.jobs_that_day
        end::decimal(26, 12) as whole
    from crew_days
    inner join days_driven using (season, branch_set, crew, work_date)
    left join trip_days using (season, branch_set, crew, work_date)
),

job_miles as (
    select
        season,
        branch,
        branch_set,
        job_no,
        case when is_service then 'service' else 'travel' end as part,
        crew,
        work_date,
        mul_div(shared_miles, part, whole)::decimal(26, 12) as miles
    from weighted
),

idle_trips as (
    select
        trips.season,
        coalesce(trips.branch, homes.home) as branch,
        trips.branch_set,
        null::varchar as job_no,
        'travel' as part,
        trips.crew,
        trips.trip_date as work_date,
        trips.miles
    from trips
    left join homes using (season, branch_set, crew)
    anti join crew_days
        on
            trips.season = crew_days.season
            and trips.branch_set = crew_days.branch_set
            and trips.crew = crew_days.crew
            and trips.trip_date = crew_days.work_date
),

all_miles as (
    select * from job_miles
    union all
    select * from idle_trips
),

final as (
    select
        all_miles.season,
        all_miles.branch,
        all_miles.branch_set,
        all_miles.job_no,
        all_miles.part,
        all_miles.crew,
        all_miles.work_date,
        all_miles.miles,
        by_rate(all_miles.miles, coalesce(firm.mile_cost, rates.usd_per_mile)) as travel_usd
    from all_miles
    inner join firm using (season)
    asof left join rates on all_miles.work_date >= rates.from_date
)

select * from final
