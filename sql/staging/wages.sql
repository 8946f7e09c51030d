-- staging.wages: one row a worker and a day from which a wage holds, in a season
-- Inputs: records.workers. A blank from_date means always. A worker listed for several branch sets counts once.
-- columns:
--   season: season
--   worker_no: worker
--   from_date: first day of the wage
--   engaged: employee, owner or subcontract
--   role: role, for workers' compensation
--   hourly_wage: usd an hour; an owner's is the setting owner_wage, null where that is not given; 0 for a subcontract
--   compensation_rate: workers' compensation, share of pay without the overtime premium; null: not given
with workers as (
    select * from records.workers
),

settings as (
    select * from reference.settings
),

firm as (
    select * from staging.firm_settings
),

dated as (
    select
        season,
        worker_no,
        coalesce(from_date, date '1900-01-01') as from_date,
        any_value(engaged order by source_file, source_row) as engaged,
        any_value(role order by source_file, source_row) as role,
        any_value(hourly_wage order by source_file, source_row) as hourly_wage
    from workers
    group by season, worker_no, coalesce(from_date, date '1900-01-01')
),

final as (
    select
        dated.season,
        dated.worker_no,
        dated.from_date,
        dated.engaged,
        dated.role,
        case dated.engaged
            when 'owner' then firm.owner_wage
            when 'subcontract' then 0
            else dated.hourly_wage
        end::decimal(26, 12) as hourly_wage,
        coalesce(by_role.value::decimal(26, 12), firm.compensation_rate)::decimal(26, 12) as compensation_rate
    from dated
    inner join firm on dated.season = firm.season
    left join settings as by_role
        on dated.season = by_role.season and by_role.setting = 'compensation:' || lower(dated.role)
)

select * from final
