-- facts.paid_hours: one row an accepted or held hours row, with what was paid for it, overtime premium included
-- Overtime by employee and workweek over all branches and seasons in the store (29 CFR 778.110, .111, .113, .115):
-- regular rate = all pay of the week (straight, piece, day, bonus) / hours of the week; premium = 1/2 x regular rate
-- x hours over the weekly limit, shared over the week's entries by hours. With a daily limit overtime is the greater
-- of the week's excess and the sum of the days' excesses; of a week that seasons share the larger limit holds. Bonus,
-- piece and day pay goes over the worker's entries of its days (and job, where named) by hours. Piece and day pay is
-- the wage of hours that have no other, save an owner's: what those are worth is a setting. An owner has no premium;
-- a subcontract worker's hours cost nothing here.
-- Inputs: staging.work_entries (h), staging.wages (usd an hour), records.pay (usd), staging.firm_settings. Money in
-- usd, exact to 12 decimals.
-- Built for the run alone: facts.loaded_hours holds it, with the burden.
-- columns:
--   entry: number of the row in staging.work_entries
--   season: season
--   worker_no: worker
--   year: calendar year of the day
--   week_start: first day of the workweek
--   engaged: employee, owner or subcontract
--   role: the worker's role that day
--   hourly_wage: wage of the day, usd an hour; null: not known
--   compensation_rate: workers' compensation, share of pay without the premium; null: not given for the role
--   overtime_hours: this entry's share of the week's overtime hours
--   straight_usd: hours x wage; 0 where piece or day pay is the wage; null where the wage is not known
--   extra_pay_usd: its share of bonus, piece and day pay
--   pay_usd: straight and extra pay, as far as known
--   premium_usd: its share of the week's overtime premium
with work_entries as (
    select * from staging.work_entries
),

wages as (
    select
        *,
        lead(from_date, 1, date '9999-12-31') over (partition by season, worker_no order by from_date) as until_date
    from staging.wages
),

firm as (
    select * from staging.firm_settings
),

pay as (
    select
        *,
        row_number() over (order by season, source_file, source_sheet, source_row) as payment
    from records.pay
    where kind <> 'subcontract'
),

entries as (
    select
        work_entries.entry,
        work_entries.season,
        work_entries.branch,
        work_entries.job_no,
        work_entries.worker_no,
        work_entries.work_date,
        work_entries.hours,
        coalesce(wages.engaged, 'employee') as engaged,
        wages.role,
        wages.hourly_wage,
        coalesce(wages.compensation_rate, firm.compensation_rate) as compensation_rate,
        work_entries.work_date - ((isodow(work_entries.work_date) - firm.week_start_day + 7) % 7)::integer
            as week_start
    from work_entries
    inner join firm on work_entries.season = firm.season
    left join wages
        on
            work_entries.season = wages.season
            and work_entries.worker_no = wages.worker_no
            and work_entries.work_date >= wages.from_date
            and work_entries.work_date < wages.until_date
),

paid_entries as (
    select
        entries.entry,
        entries.hours,
        pay.amount,
        pay.kind,
        pay.payment
    from pay
    inner join entries
        on
            pay.season = entries.season
            and pay.worker_no = entries.worker_no
            and entries.work_date between pay.from_date and pay.to_date
            and (
                pay.job_no is null
                or (pay.job_no = entries.job_no and pay.branch is not distinct from entries.branch)
            )
),

payment_hours as (
    select
        payment,
        sum(hours) as all_hours
    from paid_entries
    group by payment
),

paid_shares as (
    select
        paid_entries.entry,
        paid_entries.kind,
        mul_div(paid_entries.amount, paid_entries.hours, payment_hours.all_hours) as extra_pay_usd
    from paid_entries
    inner join payment_hours on paid_entries.payment = payment_hours.payment
),

extra as (
    select
        entry,
        sum(extra_pay_usd)::decimal(38, 12) as extra_pay_usd,
        bool_or(kind in ('piece', 'day')) as is_wage
    from paid_shares
    group by entry
),

priced as (
    select
        entries.entry,
        entries.season,
        entries.worker_no,
        entries.work_date,
        entries.week_start,
        entries.hours,
        entries.engaged,
        entries.role,
        entries.hourly_wage,
        entries.compensation_rate,
        case
            when entries.hourly_wage is null and extra.is_wage and entries.engaged <> 'owner' then 0
            else exact_product(entries.hours, entries.hourly_wage)
        end::decimal(38, 12) as straight_usd,
        coalesce(extra.extra_pay_usd, 0)::decimal(38, 12) as extra_pay_usd
    from entries
    left join extra on entries.entry = extra.entry
),

-- Days count where a season has a daily limit: mostly none has one, and there are as many days as shifts.
days as (
    select
        priced.worker_no,
        priced.week_start,
        priced.work_date,
        greatest(sum(priced.hours) - max(firm.daily_limit), 0) as day_excess
    from priced
    inner join firm on priced.season = firm.season
    where priced.engaged = 'employee' and (select bool_or(limits.daily_limit is not null) from firm as limits)
    group by priced.worker_no, priced.week_start, priced.work_date
),

day_excess as (
    select
        worker_no,
        week_start,
        coalesce(sum(day_excess), 0) as daily_overtime
    from days
    group by worker_no, week_start
),

weeks as (
    select
        priced.worker_no,
        priced.week_start,
        sum(priced.hours) as week_hours,
        sum(coalesce(priced.straight_usd, 0) + priced.extra_pay_usd) as week_pay,
        greatest(sum(priced.hours) - max(firm.weekly_limit), 0) as weekly_overtime
    from priced
    inner join firm on priced.season = firm.season
    where priced.engaged = 'employee'
    group by priced.worker_no, priced.week_start
),

overtime as (
    select
        weeks.worker_no,
        weeks.week_start,
        weeks.week_hours,
        weeks.week_pay,
        greatest(weeks.weekly_overtime, coalesce(day_excess.daily_overtime, 0))::decimal(26, 12) as overtime_hours
    from weeks
    left join day_excess on weeks.worker_no = day_excess.worker_no and weeks.week_start = day_excess.week_start
),

premiums as (
    select
        worker_no,
        week_start,
        week_hours,
        overtime_hours,
        mul_div(week_pay, overtime_hours, 2 * week_hours) as week_premium
    from overtime
),

-- Weeks without overtime have no premium to share: most of them.
overtime_entries as (
    select
        priced.entry,
        mul_div(premiums.overtime_hours, priced.hours, premiums.week_hours)::decimal(26, 12) as overtime_hours,
        mul_div(premiums.week_premium, priced.hours, premiums.week_hours) as premium_usd
    from priced
    inner join premiums
        on
            priced.worker_no = premiums.worker_no
            and priced.week_start = premiums.week_start
            and priced.engaged = 'employee'
    where premiums.overtime_hours > 0
),

final as (
    select
        priced.entry,
        priced.season,
        priced.worker_no,
        year(priced.work_date)::integer as year,
        priced.week_start,
        priced.engaged,
        priced.role,
        priced.hourly_wage,
        priced.compensation_rate,
        coalesce(overtime_entries.overtime_hours, 0)::decimal(26, 12) as overtime_hours,
        priced.straight_usd,
        priced.extra_pay_usd,
        (coalesce(priced.straight_usd, 0) + priced.extra_pay_usd)::decimal(26, 12) as pay_usd,
        coalesce(overtime_entries.premium_usd, 0)::decimal(38, 12) as premium_usd
    from priced
    left join overtime_entries on priced.entry = overtime_entries.entry
)

select * from final
