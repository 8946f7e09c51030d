-- measures.task_hours: one row a season, branch (and all) and task, with its paid hours and what they cost
-- Accepted hours alone; h and usd.
-- columns:
--   season: season
--   branch: branch that bears the hours, all, or shared where no branch is said
--   task: what was done
--   hours: paid hours
--   overtime_hours: overtime hours in them
--   loaded_usd: straight pay, extra pay, overtime premium and burden
--   premium_usd: overtime premium in it
with hour_costs as (
    select * from facts.hour_costs
    where destination <> 'held'
),

named as (
    select
        season,
        coalesce(branch, 'shared') as branch,
        task,
        hours,
        overtime_hours,
        loaded_usd,
        premium_usd
    from hour_costs
),

final as (
    select
        season,
        coalesce(branch, 'all') as branch,
        task,
        sum(hours)::decimal(26, 12) as hours,
        sum(overtime_hours)::decimal(26, 12) as overtime_hours,
        to_cents(sum(loaded_usd)) as loaded_usd,
        to_cents(sum(premium_usd)) as premium_usd
    from named
    group by grouping sets ((season, branch, task), (season, task))
)

select * from final
