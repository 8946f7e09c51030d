-- measures.crew_hours_mix: one row a season, branch and crew, with where its paid hours went.
-- Inputs: facts.loaded_hours (accepted hours, h). Hours with no branch are the branch's where the crew led most jobs.
-- columns:
--   season: year in which the season starts
--   branch: branch of the hours; null: the crew led no job and its hours name no branch
--   crew: crew
--   paid_hours: all paid hours, h
--   building_hours: preparation and installation, h
--   drive_hours: driving, h
--   later_hours: service, takedown and storage, h
--   weather_hours: waiting for weather, h
--   shop_hours: shop, h
--   training_hours: training, h
--   outside_hours: other work, h
--   overtime_hours: overtime in all of them, h
--   drive_share: drive_hours / paid_hours
--   weather_share: weather_hours / paid_hours
--   shop_share: shop_hours / paid_hours
--   training_share: training_hours / paid_hours
--   overtime_share: overtime_hours / paid_hours

with hours as (
    select * from facts.loaded_hours
    where place = 'accepted'
),

homes as (
    select * from staging.crew_homes
),

placed as (
    select
        hours.*,
        coalesce(hours.branch, homes.home) as at_branch
    from hours
    left join homes using (season, branch_set, crew)
),

crews as (
    select
        season,
        at_branch as branch,
        crew,
        sum(hours)::decimal(26, 12) as paid_hours,
        coalesce(sum(hours) filter (where task in ('prep', 'install')), 0)::decimal(26, 12) as building_hours,
        coalesce(sum(hours) filter (where task = 'drive'), 0)::decimal(26, 12) as drive_hours,
        coalesce(sum(hours) filter (where task in ('service', 'takedown', 'storage')), 0)::decimal(26, 12)
            as later_hours,
        coalesce(sum(hours) filter (where task = 'weather'), 0)::decimal(26, 12) as weather_hours,
        coalesce(sum(hours) filter (where task = 'shop'), 0)::decimal(26, 12) as shop_hours,
        coalesce(sum(hours) filter (where task = 'training'), 0)::decimal(26, 12) as training_hours,
        coalesce(sum(hours) filter (where task = 'other_work'), 0)::decimal(26, 12) as outside_hours,
        sum(overtime_hours)::decimal(26, 12) as overtime_hours
    from placed
    group by season, at_branch, crew
),

final as (
    select
        *,
        drive_hours / nullif(paid_hours, 0) as drive_share,
        weather_hours / nullif(paid_hours, 0) as weather_share,
        shop_hours / nullif(paid_hours, 0) as shop_share,
        training_hours / nullif(paid_hours, 0) as training_share,
        overtime_hours / nullif(paid_hours, 0) as overtime_share
    from crews
)

select * from final
