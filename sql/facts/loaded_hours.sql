-- facts.loaded_hours: one row an accepted or held hours row, with what the hour cost
-- Overtime by employee and workweek over all branches and seasons in the store (29 CFR 778.110, .111, .113, .115):
-- regular rate = all pay of the week (straight, piece, day, bonus) / hours of the week; premium = 1/2 x regular rate
-- x hours over the weekly limit, shared over the week's entries by hours. With a daily limit overtime is the greater
-- of the week's excess and the sum of the days' excesses. Bonus, piece and day pay goes over the worker's entries of
-- its days (and job, where named) by hours. Piece and day pay is the wage of hours that have no other. An owner has
-- neither premium nor burden; a subcontract worker's hours cost nothing here. ONE burden rate, without the yearly
-- bases: on straight pay, extra pay and premium; workers' compensation leaves the premium out.
-- Inputs: staging.work_entries (h, usd an hour), records.pay (usd), staging.firm_settings. Money in usd, exact to 12
-- decimals.
-- columns:
--   season: season
--   branch: branch of the job or of the row; null: not said
--   branch_set: branches closed together
--   job_no: job; null: shop time
--   crew: crew
--   worker_no: worker
--   work_date: day
--   week_start: first day of the workweek
--   task: what was done
--   hours: paid hours
--   place: accepted or held
--   engaged: employee, owner or subcontract
--   hourly_wage: wage of the day, usd an hour; null: not known
--   overtime_hours: this entry's share of the week's overtime hours
--   straight_usd: hours x wage; 0 where piece or day pay is the wage; null where the wage is not known
--   extra_pay_usd: its share of bonus, piece and day pay
--   premium_usd: its share of the week's overtime premium
--   burden_usd: burden on all of that
--   loaded_usd: straight + extra + premium + burden, as far as known; null where neither wage nor extra pay is known
--   source_file: file
--   source_sheet: sheet
--   source_row: row
with entries as (
    select * from staging.work_entries
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

numbered as (
    select
        *,
        row_number() over (order by season, source_file, source_sheet, source_row) as entry
    from entries
),

paid_entries as (
    select
        numbered.entry,
        numbered.hours,
        pay.amount,
        pay.kind,
        pay.payment
    from pay
    inner join numbered
        on
            pay.season = numbered.season
            and pay.worker_no = numbered.worker_no
            and numbered.work_date between pay.from_date and pay.to_date
            and (
                pay.job_no is null
                or (pay.job_no = numbered.job_no and pay.branch is not distinct from numbered.branch)
            )
),

paid_shares as (
    select
        entry,
        kind,
        mul_div(amount, hours, sum(hours) over (partition by payment)) as extra_pay_usd
    from paid_entries
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
        numbered.*,
        case
            when numbered.hourly_wage is null and extra.is_wage then 0
            else numbered.hours * numbered.hourly_wage
        end::decimal(38, 12) as straight_usd,
        coalesce(extra.extra_pay_usd, 0)::decimal(38, 12) as extra_pay_usd
    from numbered
    left join extra on numbered.entry = extra.entry
),

days as (
    select
        priced.worker_no,
        priced.week_start,
        priced.work_date,
        greatest(sum(priced.hours) - max(firm.daily_limit), 0) as day_excess
    from priced
    inner join firm on priced.season = firm.season
    where priced.engaged = 'employee'
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
        greatest(weeks.weekly_overtime, day_excess.daily_overtime)::decimal(26, 12) as overtime_hours
    from weeks
    inner join day_excess on weeks.worker_no = day_excess.worker_no and weeks.week_start = day_excess.week_start
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

with_premium as (
    select
        priced.*,
        (coalesce(priced.straight_usd, 0) + priced.extra_pay_usd)::decimal(26, 12) as pay_usd,
        coalesce(mul_div(premiums.overtime_hours, priced.hours, premiums.week_hours), 0)::decimal(26, 12)
            as overtime_hours,
        case
            when priced.engaged = 'employee' then mul_div(premiums.week_premium, priced.hours, premiums.week_hours)
            else 0
        end::decimal(38, 12) as premium_usd
    from priced
    left join premiums
        on
            priced.worker_no = premiums.worker_no
            and priced.week_start = premiums.week_start
            and priced.engaged = 'employee'
),

with_burden as (
    select
        with_premium.*,
        case
            when with_premium.engaged = 'employee'
                then
                    (with_premium.pay_usd + with_premium.premium_usd)::decimal(26, 12) * firm.burden_rate
                    + with_premium.pay_usd * coalesce(with_premium.compensation_rate, 0)
            else 0
        end::decimal(38, 12) as burden_usd
    from with_premium
    inner join firm on with_premium.season = firm.season
),

final as (
    select
        season,
        branch,
        branch_set,
        job_no,
        crew,
        worker_no,
        work_date,
        week_start,
        task,
        hours,
        place,
        engaged,
        hourly_wage,
        overtime_hours,
        straight_usd,
        extra_pay_usd,
        premium_usd,
        burden_usd,
        case
            when straight_usd is not null or extra_pay_usd <> 0 then pay_usd + premium_usd + burden_usd
        end::decimal(38, 12) as loaded_usd,
        source_file,
        source_sheet,
        source_row
    from with_burden
)

select * from final
