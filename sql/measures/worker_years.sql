-- measures.worker_years: one row an employee and calendar year, with the pay in the records and the employer's burden
-- The bookkeeper's check against the year's payroll, over all branches and all seasons in the store: accepted and held
-- hours, by the date of the work. Taxes with a yearly base are due(before + pay) - due(before). Where two seasons of
-- the store lie in a year each season's settings hold for its own hours; the bases shown are the later season's. Each
-- tax is rounded to cents by itself, and burden is the sum of those cents.
-- Inputs: facts.loaded_hours, facts.worker_taxes (usd), staging.burden_rules.
-- columns:
--   year: calendar year
--   worker_no: worker
--   seasons: seasons in the store whose hours lie in the year
--   hours: paid hours
--   straight_usd: hours x wage, as far as known
--   extra_pay_usd: bonus, piece and day pay
--   premium_usd: overtime premium
--   pay_usd: all of that: the pay of the year in the records
--   before_usd: pay of the year that came before and is not in the records
--   social_security_base_usd: yearly pay up to which Social Security is due; null: not known
--   futa_base_usd: yearly pay up to which federal unemployment is due
--   state_base_usd: yearly pay up to which state unemployment is due; null: not given
--   social_security_usd: Social Security due on the pay
--   medicare_usd: Medicare due on the pay
--   futa_usd: federal unemployment due on the pay
--   state_unemployment_usd: state unemployment due on the pay
--   other_burden_usd: other burden on the pay
--   compensation_usd: workers' compensation on the pay without the premium, by role
--   burden_usd: sum of the burden
--   burden_usd_per_pay_usd: burden / pay: what a dollar of pay costs beside itself
with hours as (
    select * from facts.loaded_hours
    where engaged = 'employee'
),

taxes as (
    select * from facts.worker_taxes
),

rules as (
    select * from staging.burden_rules
),

paid as (
    select
        season,
        year(work_date)::integer as year,
        worker_no,
        sum(hours) as hours,
        coalesce(sum(straight_usd), 0) as straight_usd,
        sum(extra_pay_usd) as extra_pay_usd,
        sum(premium_usd) as premium_usd,
        sum(compensation_usd) as compensation_usd
    from hours
    group by season, year(work_date), worker_no
),

shares as (
    select
        paid.*,
        taxes.taxable_usd,
        taxes.before_usd,
        rules.social_security_base_usd,
        rules.futa_base_usd,
        rules.state_base_usd,
        coalesce(mul_div(taxes.social_security_usd, taxes.taxable_usd, taxes.year_taxable_usd), 0)
            as social_security_usd,
        coalesce(mul_div(taxes.futa_usd, taxes.taxable_usd, taxes.year_taxable_usd), 0) as futa_usd,
        coalesce(mul_div(taxes.state_unemployment_usd, taxes.taxable_usd, taxes.year_taxable_usd), 0)
            as state_unemployment_usd,
        taxes.taxable_usd::decimal(26, 12) * rules.medicare_rate as medicare_usd,
        taxes.taxable_usd::decimal(26, 12) * rules.other_rate as other_burden_usd
    from paid
    inner join taxes using (season, year, worker_no)
    inner join rules using (season, year)
),

sums as (
    select
        year,
        worker_no,
        string_agg(season, ', ' order by season) as seasons,
        sum(hours)::decimal(26, 12) as hours,
        to_cents(sum(straight_usd)) as straight_usd,
        to_cents(sum(extra_pay_usd)) as extra_pay_usd,
        to_cents(sum(premium_usd)) as premium_usd,
        to_cents(sum(taxable_usd)) as pay_usd,
        to_cents(max(before_usd)) as before_usd,
        to_cents(arg_max(social_security_base_usd, season)) as social_security_base_usd,
        to_cents(arg_max(futa_base_usd, season)) as futa_base_usd,
        to_cents(arg_max(state_base_usd, season)) as state_base_usd,
        to_cents(sum(social_security_usd)) as social_security_usd,
        to_cents(sum(medicare_usd)) as medicare_usd,
        to_cents(sum(futa_usd)) as futa_usd,
        to_cents(sum(state_unemployment_usd)) as state_unemployment_usd,
        to_cents(sum(other_burden_usd)) as other_burden_usd,
        to_cents(sum(compensation_usd)) as compensation_usd
    from shares
    group by year, worker_no
),

totals as (
    select
        *,
        (
            social_security_usd
            + medicare_usd
            + futa_usd
            + state_unemployment_usd
            + other_burden_usd
            + compensation_usd
        )::decimal(18, 2) as burden_usd
    from sums
),

final as (
    select
        *,
        burden_usd / nullif(pay_usd, 0) as burden_usd_per_pay_usd
    from totals
)

select * from final
