-- facts.worker_taxes: one row an employee, calendar year and season, with the taxes that the year's pay owes
-- Social Security, FUTA and state unemployment are due on a worker's pay of a calendar year up to a base, over all
-- branches and all seasons in the store: due(before + pay in the records) - due(before). before = what the firm paid
-- the worker earlier in the year and is not in the records: the largest paid_before of the season that starts in that
-- year, less the pay that earlier seasons in the store hold for that year, and never below 0. Pay is straight, bonus,
-- piece and day pay and the overtime premium. Each season's rates and bases hold for its own hours: the dues of a row
-- are the whole year's by its season's rules, of which the season bears taxable / year_taxable. Medicare and other
-- burden have no base.
-- Inputs: facts.paid_hours, records.workers (usd), staging.burden_rules. Money in usd, exact to 12 decimals.
-- columns:
--   season: season
--   worker_no: worker
--   year: calendar year
--   taxable_usd: pay of the season's hours in that year
--   year_taxable_usd: pay of all seasons' hours in that year
--   before_usd: pay of that year that came before and is not in the records
--   social_security_usd: Social Security due on the year's pay in the records, by this season's rules
--   futa_usd: federal unemployment, likewise
--   state_unemployment_usd: state unemployment, likewise
--   due_usd: their sum; null where a base is not known
--   plain_rate: Medicare and other burden, share of pay
--   taxes_per_usd: all of that on a dollar of the year's pay, to 15 decimals: due / year_taxable + plain_rate
with paid as (
    select * from facts.paid_hours
    where engaged = 'employee'
),

workers as (
    select * from records.workers
),

rules as (
    select * from staging.burden_rules
),

earned as (
    select
        season,
        worker_no,
        year,
        sum(pay_usd + premium_usd)::decimal(38, 12) as taxable_usd
    from paid
    group by season, worker_no, year
),

told as (
    select
        season as year,
        worker_no,
        max(paid_before) as paid_before
    from workers
    group by season, worker_no
),

years as (
    select
        earned.worker_no,
        earned.year,
        sum(earned.taxable_usd)::decimal(38, 12) as year_taxable_usd,
        greatest(
            coalesce(max(told.paid_before), 0)
            - coalesce(sum(case when earned.season < earned.year then earned.taxable_usd end), 0),
            0
        )::decimal(38, 12) as before_usd
    from earned
    left join told using (worker_no, year)
    group by earned.worker_no, earned.year
),

ruled as (
    select
        earned.season,
        earned.worker_no,
        earned.year,
        earned.taxable_usd,
        years.year_taxable_usd,
        years.before_usd,
        years.before_usd + years.year_taxable_usd as until_usd,
        rules.social_security_rate,
        rules.social_security_base_usd,
        rules.futa_rate,
        rules.futa_base_usd,
        rules.state_rate,
        rules.state_base_usd,
        rules.medicare_rate + rules.other_rate as plain_rate
    from earned
    inner join years using (worker_no, year)
    inner join rules using (season, year)
),

dues as (
    select
        *,
        case
            when social_security_rate = 0 then 0
            else
                pay_under_base(before_usd, until_usd, social_security_base_usd)::decimal(26, 12) * social_security_rate
        end::decimal(38, 12) as social_security_usd,
        case
            when futa_rate = 0 then 0
            else pay_under_base(before_usd, until_usd, futa_base_usd)::decimal(26, 12) * futa_rate
        end::decimal(38, 12) as futa_usd,
        case
            when state_rate = 0 then 0
            else pay_under_base(before_usd, until_usd, state_base_usd)::decimal(26, 12) * state_rate
        end::decimal(38, 12) as state_unemployment_usd
    from ruled
),

summed as (
    select
        *,
        (social_security_usd + futa_usd + state_unemployment_usd)::decimal(38, 12) as due_usd
    from dues
),

final as (
    select
        season,
        worker_no,
        year,
        taxable_usd,
        year_taxable_usd,
        before_usd,
        social_security_usd,
        futa_usd,
        state_unemployment_usd,
        due_usd,
        plain_rate::decimal(26, 12) as plain_rate,
        case
            when year_taxable_usd = 0 then 0
            else
                mul_div(1000, due_usd, year_taxable_usd)::decimal(26, 12) * 0.001::decimal(4, 3)
                + plain_rate
        end::decimal(18, 15) as taxes_per_usd
    from summed
)

select * from final
