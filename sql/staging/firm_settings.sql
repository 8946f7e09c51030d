-- staging.firm_settings: one row a season, with the settings that cost needs as numbers
-- Inputs: reference.settings (value as text). A setting that has neither been given nor a default stays null.
-- columns:
--   season: season
--   owner_wage: worth of an hour of the owner's own work, usd an hour; null: not given
--   weekly_limit: hours of a workweek after which overtime is due
--   daily_limit: hours of a day after which overtime is due; null: no such rule
--   week_start_day: first day of the workweek, 1 Monday to 7 Sunday
--   mile_cost: usd a mile on every date; null: the federal rate of the day
--   compensation_rate: workers' compensation where the role has no rate of its own; null: not given
--   has_state_unemployment: whether a state unemployment rate was given
--   has_compensation: whether a workers' compensation rate was given
with settings as (
    select * from reference.settings
),

numbers as (
    select
        season,
        max(case when setting = 'owner_wage' then value end)::decimal(26, 12) as owner_wage,
        max(case when setting = 'weekly_limit' then value end)::decimal(26, 12) as weekly_limit,
        max(case when setting = 'daily_limit' then value end)::decimal(26, 12) as daily_limit,
        max(case when setting = 'mile_cost' then value end)::decimal(26, 12) as mile_cost,
        max(case when setting = 'week_starts' then value end) as week_starts,
        max(case when setting = 'compensation' then value end)::decimal(26, 12) as compensation_rate,
        bool_or(setting = 'state_unemployment') as has_state_unemployment,
        bool_or(setting = 'compensation' or setting like 'compensation:%') as has_compensation
    from settings
    group by season
),

final as (
    select
        season,
        owner_wage,
        weekly_limit,
        daily_limit,
        list_position(
            ['monday', 'tuesday', 'wednesday', 'thursday', 'friday', 'saturday', 'sunday'], week_starts
        )::integer as week_start_day,
        mile_cost,
        compensation_rate,
        has_state_unemployment,
        has_compensation
    from numbers
)

select * from final
