-- staging.burden_rules: one row a season and calendar year in which its hours lie, with the rates and bases of burden
-- A season's own settings hold for its own hours. A base is the setting of that year (state_base:2026), else the
-- setting without a year, else for Social Security the federal base of the year. Rates that were not given are 0.
-- Inputs: reference.settings (value as text), reference.social_security_bases (usd), staging.work_entries.
-- columns:
--   season: season
--   year: calendar year
--   social_security_rate: employer's Social Security, share of pay
--   social_security_base_usd: yearly pay up to which it is due; null: not known, and refused where the rate is not 0
--   futa_rate: federal unemployment, share of pay
--   futa_base_usd: yearly pay up to which it is due
--   state_rate: state unemployment, share of pay
--   state_base_usd: yearly pay up to which it is due; null: not known, and refused where the rate is not 0
--   medicare_rate: employer's Medicare, share of all pay
--   other_rate: any other cost of employing, share of all pay
with settings as (
    select * from reference.settings
),

bases as (
    select * from reference.social_security_bases
),

entries as (
    select * from staging.work_entries
),

years as (
    select distinct
        season,
        year(work_date)::integer as year
    from entries
),

-- Of a setting and the same with the year behind it the one with the year holds: it stands last in the alphabet.
chosen as (
    select
        years.season,
        years.year,
        split_part(settings.setting, ':', 1) as setting,
        arg_max(settings.value, settings.setting)::decimal(26, 12) as value
    from years
    inner join settings
        on
            years.season = settings.season
            and (
                settings.setting in (
                    'social_security', 'social_security_base', 'futa', 'futa_base', 'state_unemployment', 'state_base',
                    'medicare', 'other_burden'
                )
                or settings.setting in ('social_security_base:' || years.year, 'state_base:' || years.year)
            )
    group by years.season, years.year, split_part(settings.setting, ':', 1)
),

given as (
    select
        season,
        year,
        max(case when setting = 'social_security' then value end) as social_security_rate,
        max(case when setting = 'social_security_base' then value end) as social_security_base_usd,
        max(case when setting = 'futa' then value end) as futa_rate,
        max(case when setting = 'futa_base' then value end) as futa_base_usd,
        max(case when setting = 'state_unemployment' then value end) as state_rate,
        max(case when setting = 'state_base' then value end) as state_base_usd,
        max(case when setting = 'medicare' then value end) as medicare_rate,
        max(case when setting = 'other_burden' then value end) as other_rate
    from chosen
    group by season, year
),

final as (
    select
        given.season,
        given.year,
        coalesce(given.social_security_rate, 0)::decimal(26, 12) as social_security_rate,
        coalesce(given.social_security_base_usd, bases.usd)::decimal(26, 12) as social_security_base_usd,
        coalesce(given.futa_rate, 0)::decimal(26, 12) as futa_rate,
        given.futa_base_usd,
        coalesce(given.state_rate, 0)::decimal(26, 12) as state_rate,
        given.state_base_usd,
        coalesce(given.medicare_rate, 0)::decimal(26, 12) as medicare_rate,
        coalesce(given.other_rate, 0)::decimal(26, 12) as other_rate
    from given
    left join bases using (year)
)

select * from final
