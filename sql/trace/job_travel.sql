-- trace.job_travel: one row a crew's day at a job, with its share of the miles
-- asked: season, branch, job_no.
-- columns:
--   part: travel or service
--   what: crew and day
--   quantity: miles
--   unit: miles
--   rate_usd: rate of the day
--   amount_usd: miles at the rate
--   rule: where the miles come from
--   source_file: file of the trip, else of the job
--   source_sheet: sheet
--   source_row: row
with asked as (
    select * from temp.asked
),

travel as (
    select travel_costs.* from facts.travel_costs
    semi join asked using (season, branch, job_no)
    where travel_costs.travel_usd is not null
),

trips as (
    select * from records.trips
),

jobs as (
    select * from records.jobs
),

day_trips as (
    select
        season,
        branch_set,
        crew,
        trip_date as work_date,
        count(*) as trips,
        sum(miles) as day_miles,
        arg_min(source_file, (source_file, source_sheet, source_row)) as source_file,
        arg_min(source_sheet, (source_file, source_sheet, source_row)) as source_sheet,
        arg_min(source_row, (source_file, source_sheet, source_row)) as source_row
    from trips
    group by season, branch_set, crew, trip_date
),

final as (
    select
        travel.part,
        travel.crew || ' on ' || travel.work_date as what,
        travel.miles as quantity,
        'miles' as unit,
        travel.travel_usd / nullif(travel.miles, 0) as rate_usd,
        travel.travel_usd as amount_usd,
        case
            when day_trips.trips is not null
                then concat('share of the day''s ', day_trips.day_miles::double, ' odometer miles')
            else 'the job''s drive miles over the crew''s jobs that day'
        end as rule,
        coalesce(day_trips.source_file, jobs.source_file) as source_file,
        case when day_trips.trips is null then jobs.source_sheet else day_trips.source_sheet end as source_sheet,
        coalesce(day_trips.source_row, jobs.source_row) as source_row
    from travel
    inner join jobs using (season, branch, job_no)
    left join day_trips
        on
            travel.season = day_trips.season
            and travel.branch_set = day_trips.branch_set
            and travel.crew = day_trips.crew
            and travel.work_date = day_trips.work_date
    order by travel.part, travel.work_date, travel.crew
)

select * from final
