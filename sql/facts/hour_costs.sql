-- facts.hour_costs: one row an accepted or held hours row, with the place in the accounts where its cost goes
-- labor: direct hours of an accepted job; service: its service hours, and drive on a service day; indirect: shop,
-- training and weather hours, and hours with no job, to the job's branch, else the row's, else the crew's home, else
-- all; outside: other work; held: hours of a job that was not accepted.
-- columns:
--   season: season
--   branch: branch of the job; for indirect hours the branch that bears them, null: all
--   branch_set: branches closed together
--   job_no: job; null for indirect hours
--   destination: labor, service, indirect, outside or held
--   task: what was done
--   engaged: how the worker is engaged
--   hours: paid hours
--   overtime_hours: overtime hours in them
--   premium_usd: overtime premium in them
--   loaded_usd: what they cost; 0 where the wage is not known
--   is_priced: whether the wage is known
with hours as (
    select * from facts.loaded_hours
),

service_days as (
    select * from staging.service_days
),

homes as (
    select * from staging.crew_homes
),

placed as (
    select
        hours.*,
        homes.home,
        hour_account(hours.place, hours.task, hours.job_no, service_days.job_no is not null) as destination
    from hours
    left join service_days using (season, branch, job_no, work_date)
    left join homes using (season, branch_set, crew)
),

final as (
    select
        season,
        case when destination = 'indirect' then coalesce(branch, home) else branch end as branch,
        branch_set,
        case when destination <> 'indirect' then job_no end as job_no,
        destination,
        task,
        engaged,
        hours,
        overtime_hours,
        coalesce(premium_usd, 0)::decimal(38, 12) as premium_usd,
        coalesce(loaded_usd, 0)::decimal(38, 12) as loaded_usd,
        straight_usd is not null as is_priced
    from placed
)

select * from final
