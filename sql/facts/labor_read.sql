-- facts.labor_read: one row a season, with what its accepted and held hours and extra pay cost, by worker and workweek
-- The same money as facts.loaded_hours, reached another way and from the records: nothing here is shared out to single
-- hours, each bonus, piece and day pay stands as written, and the taxes with a yearly base are worked out on the year's
-- whole pay. Control compares the two.
-- Inputs: records.hours, refused.hours (h), records.pay, records.workers (usd), staging.wages (usd an hour),
-- staging.firm_settings, staging.burden_rules (shares, usd).
-- columns:
--   season: season
--   straight_usd: hours x wage
--   extra_pay_usd: bonus, piece and day pay as written
--   premium_usd: overtime premium of the weeks, by the season's hours in them, and by year where a week has two
--   burden_usd: burden on all of that
--   loaded_usd: their sum
with accepted as (
    select * from records.hours
),

held as (
    select * from refused.hours
    where place = 'held'
),

pay as (
    select
        *,
        row_number() over (order by season, source_file, source_sheet, source_row) as payment
    from records.pay
    where kind <> 'subcontract'
),

wages as (
    select
        *,
        lead(from_date, 1, date '9999-12-31') over (partition by season, worker_no order by from_date) as until_date
    from staging.wages
),

workers as (
    select * from records.workers
),

firm as (
    select * from staging.firm_settings
),

rules as (
    select * from staging.burden_rules
),

worked as (
    select
        season,
        worker_no,
        work_date,
        branch,
        job_no,
        hours
    from accepted
    union all
    select
        season,
        worker_no,
        work_date,
        branch,
        job_no,
        hours
    from held
),

waged as (
    select
        worked.*,
        year(worked.work_date)::integer as year,
        coalesce(wages.engaged, 'employee') = 'employee' as is_employee,
        coalesce(wages.hourly_wage, 0) as hourly_wage,
        coalesce(wages.compensation_rate, firm.compensation_rate, 0) as compensation_rate,
        worked.work_date - ((isodow(worked.work_date) - firm.week_start_day + 7) % 7)::integer as week_start
    from worked
    inner join firm using (season)
    left join wages
        on
            worked.season = wages.season
            and worked.worker_no = wages.worker_no
            and worked.work_date >= wages.from_date
            and worked.work_date < wages.until_date
),

paid_stints as (
    select
        pay.season,
        pay.worker_no,
        waged.year,
        waged.week_start,
        waged.is_employee,
        waged.compensation_rate,
        pay.payment,
        pay.amount,
        sum(waged.hours) as hours
    from pay
    inner join waged
        on
            pay.season = waged.season
            and pay.worker_no = waged.worker_no
            and waged.work_date between pay.from_date and pay.to_date
            and (pay.job_no is null or (pay.job_no = waged.job_no and pay.branch is not distinct from waged.branch))
    group by
        pay.season,
        pay.worker_no,
        waged.year,
        waged.week_start,
        waged.is_employee,
        waged.compensation_rate,
        pay.payment,
        pay.amount
),

payment_hours as (
    select
        payment,
        sum(hours) as all_hours
    from paid_stints
    group by payment
),

extra as (
    select
        paid_stints.season,
        paid_stints.worker_no,
        paid_stints.year,
        paid_stints.week_start,
        paid_stints.is_employee,
        paid_stints.compensation_rate,
        mul_div(paid_stints.amount, paid_stints.hours, payment_hours.all_hours) as usd
    from paid_stints
    inner join payment_hours using (payment)
),

-- Straight pay and extra pay of a worker's week, apart where the season, year, engagement or compensation rate changes.
pieces as (
    select
        season,
        worker_no,
        year,
        week_start,
        is_employee,
        compensation_rate,
        sum(hours) as hours,
        sum(exact_product(hours, hourly_wage)) as straight_usd,
        0::decimal(38, 12) as extra_pay_usd
    from waged
    group by season, worker_no, year, week_start, is_employee, compensation_rate
    union all
    select
        season,
        worker_no,
        year,
        week_start,
        is_employee,
        compensation_rate,
        0 as hours,
        0 as straight_usd,
        sum(usd)::decimal(38, 12) as extra_pay_usd
    from extra
    group by season, worker_no, year, week_start, is_employee, compensation_rate
),

season_weeks as (
    select
        season,
        worker_no,
        year,
        week_start,
        sum(hours) as hours,
        sum(straight_usd + extra_pay_usd) as pay_usd
    from pieces
    where is_employee
    group by season, worker_no, year, week_start
),

-- Days count where a season has a daily limit: mostly none has one, and there are as many days as shifts.
days_over as (
    select
        waged.worker_no,
        waged.week_start,
        waged.work_date,
        greatest(sum(waged.hours) - max(firm.daily_limit), 0) as hours_over
    from waged
    inner join firm using (season)
    where waged.is_employee and (select bool_or(limits.daily_limit is not null) from firm as limits)
    group by waged.worker_no, waged.week_start, waged.work_date
),

weeks_of_days as (
    select
        worker_no,
        week_start,
        coalesce(sum(hours_over), 0) as hours_over
    from days_over
    group by worker_no, week_start
),

weeks as (
    select
        season_weeks.worker_no,
        season_weeks.week_start,
        sum(season_weeks.hours) as hours,
        sum(season_weeks.pay_usd) as pay_usd,
        greatest(
            sum(season_weeks.hours) - max(firm.weekly_limit), coalesce(max(weeks_of_days.hours_over), 0), 0
        ) as hours_over
    from season_weeks
    inner join firm using (season)
    left join weeks_of_days using (worker_no, week_start)
    group by season_weeks.worker_no, season_weeks.week_start
),

week_premiums as (
    select
        worker_no,
        week_start,
        hours,
        mul_div(pay_usd, hours_over, 2 * hours) as premium_usd
    from weeks
    where hours_over > 0
),

premiums as (
    select
        season_weeks.season,
        season_weeks.worker_no,
        season_weeks.year,
        mul_div(week_premiums.premium_usd, season_weeks.hours, week_premiums.hours) as premium_usd
    from season_weeks
    inner join week_premiums using (worker_no, week_start)
),

-- What an employee was paid for a season's hours of a calendar year, and what the burden without a base comes to on it.
payments as (
    select
        season,
        worker_no,
        year,
        (straight_usd + extra_pay_usd)::decimal(26, 12) as taxable_usd,
        (straight_usd + extra_pay_usd)::decimal(26, 12) * compensation_rate::decimal(26, 12) as compensation_usd
    from pieces
    where is_employee
    union all
    select
        season,
        worker_no,
        year,
        premium_usd as taxable_usd,
        0 as compensation_usd
    from premiums
),

season_years as (
    select
        season,
        worker_no,
        year,
        sum(taxable_usd)::decimal(38, 12) as taxable_usd,
        sum(compensation_usd)::decimal(38, 12) as compensation_usd
    from payments
    group by season, worker_no, year
),

year_sums as (
    select
        season_years.worker_no,
        season_years.year,
        sum(season_years.taxable_usd)::decimal(38, 12) as records_usd,
        coalesce(
            sum(season_years.taxable_usd) filter (where season_years.season < season_years.year), 0
        ) as earlier_usd
    from season_years
    group by season_years.worker_no, season_years.year
),

paid_before as (
    select
        season,
        worker_no,
        max(paid_before) as usd
    from workers
    where paid_before is not null
    group by season, worker_no
),

-- The year's sum begins with what was paid before, of which the seasons before may hold a part.
year_ends as (
    select
        year_sums.worker_no,
        year_sums.year,
        year_sums.records_usd,
        case
            when paid_before.usd > year_sums.earlier_usd then paid_before.usd - year_sums.earlier_usd
            else 0
        end as starts_usd
    from year_sums
    left join paid_before on year_sums.worker_no = paid_before.worker_no and year_sums.year = paid_before.season
),

capped as (
    select
        season_years.season,
        season_years.taxable_usd,
        season_years.compensation_usd,
        year_ends.records_usd,
        rules.medicare_rate + rules.other_rate as plain_rate,
        case
            when rules.social_security_rate = 0 then 0
            else
                pay_under_base(
                    year_ends.starts_usd,
                    year_ends.starts_usd + year_ends.records_usd,
                    rules.social_security_base_usd
                )::decimal(26, 12)
                * rules.social_security_rate
        end::decimal(38, 12) as social_security_usd,
        case
            when rules.futa_rate = 0 then 0
            else
                pay_under_base(
                    year_ends.starts_usd, year_ends.starts_usd + year_ends.records_usd, rules.futa_base_usd
                )::decimal(26, 12)
                * rules.futa_rate
        end::decimal(38, 12) as futa_usd,
        case
            when rules.state_rate = 0 then 0
            else
                pay_under_base(
                    year_ends.starts_usd, year_ends.starts_usd + year_ends.records_usd, rules.state_base_usd
                )::decimal(26, 12)
                * rules.state_rate
        end::decimal(38, 12) as state_usd
    from season_years
    inner join year_ends using (worker_no, year)
    inner join rules using (season, year)
),

amounts as (
    select
        season,
        'straight' as kind,
        straight_usd as usd
    from pieces
    union all
    select
        season,
        'extra' as kind,
        amount as usd
    from pay
    union all
    select
        season,
        'premium' as kind,
        premium_usd as usd
    from premiums
    union all
    select
        season,
        'burden' as kind,
        (
            taxable_usd::decimal(26, 12) * plain_rate::decimal(26, 12)
            + compensation_usd
            + coalesce(mul_div(social_security_usd, taxable_usd, records_usd), 0)
            + coalesce(mul_div(futa_usd, taxable_usd, records_usd), 0)
            + coalesce(mul_div(state_usd, taxable_usd, records_usd), 0)
        )::decimal(38, 12) as usd
    from capped
),

final as (
    select
        season,
        coalesce(sum(usd) filter (where kind = 'straight'), 0)::decimal(38, 12) as straight_usd,
        coalesce(sum(usd) filter (where kind = 'extra'), 0)::decimal(38, 12) as extra_pay_usd,
        coalesce(sum(usd) filter (where kind = 'premium'), 0)::decimal(38, 12) as premium_usd,
        coalesce(sum(usd) filter (where kind = 'burden'), 0)::decimal(38, 12) as burden_usd,
        coalesce(sum(usd), 0)::decimal(38, 12) as loaded_usd
    from amounts
    group by season
)

select * from final
