-- facts.hour_costs: one row an accepted or held hours row, with the place in the accounts where its cost goes
-- Built as a view: facts.loaded_hours holds it, and says what goes where.
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

final as (
    select
        season,
        bearing_branch as branch,
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
    from hours
)

select * from final
