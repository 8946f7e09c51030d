-- facts.labor_read: one row a season, with what its accepted and held hours and extra pay cost, by worker and workweek
-- The same money as facts.loaded_hours, reached another way and from the records: nothing here is shared out to single
-- hours, and each bonus, piece and day pay stands as written. Control compares the two.
-- Inputs: records.hours, refused.hours (h), records.pay (usd), staging.wages (usd an hour), staging.firm_settings.
-- columns:
--   season: season
--   straight_usd: hours x wage
--   extra_pay_usd: bonus, piece and day pay as written
--   premium_usd: overtime premium of the weeks, by the season's hours in them
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

firm as (
    select * from staging.firm_settings
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
        coalesce(wages.engaged, 'employee') = 'employee' as is_employee,
        coalesce(wages.hourly_wage, 0) as hourly_wage,
        coalesce(wages.compensation_rate, 0) as compensation_rate,
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
        pay.season, pay.worker_no, waged.week_start, waged.is_employee, waged.compensation_rate, pay.payment, pay.amount
),

extra as (
    select
        season,
        worker_no,
        week_start,
        is_employee,
        compensation_rate,
        mul_div(amount, hours, sum(hours) over (partition by payment)) as usd
    from paid_stints
),

-- Straight pay and extra pay of a worker's week, apart where the season, engagement or compensation rate changes.
pieces as (
    select
        season,
        worker_no,
        week_start,
        is_employee,
        compensation_rate,
        sum(hours) as hours,
        sum((hours * hourly_wage)::decimal(26, 12)) as straight_usd,
        0::decimal(38, 12) as extra_pay_usd
    from waged
    group by season, worker_no, week_start, is_employee, compensation_rate
    union all
    select
        season,
        worker_no,
        week_start,
        is_employee,
        compensation_rate,
        0 as hours,
        0 as straight_usd,
        sum(usd)::decimal(38, 12) as extra_pay_usd
    from extra
    group by season, worker_no, week_start, is_employee, compensation_rate
),

season_weeks as (
    select
        season,
        worker_no,
        week_start,
        sum(hours) as hours,
        sum(straight_usd + extra_pay_usd) as pay_usd
    from pieces
    where is_employee
    group by season, worker_no, week_start
),

days_over as (
    select
        waged.worker_no,
        waged.week_start,
        waged.work_date,
        greatest(sum(waged.hours) - max(firm.daily_limit), 0) as hours_over
    from waged
    inner join firm using (season)
    where waged.is_employee
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
        greatest(sum(season_weeks.hours) - max(firm.weekly_limit), max(weeks_of_days.hours_over), 0) as hours_over
    from season_weeks
    inner join firm using (season)
    inner join weeks_of_days using (worker_no, week_start)
    group by season_weeks.worker_no, season_weeks.week_start
),

premiums as (
    select
        season_weeks.season,
        mul_div(
            mul_div(weeks.pay_usd, weeks.hours_over, 2 * weeks.hours), season_weeks.hours, weeks.hours
        ) as premium_usd
    from season_weeks
    inner join weeks using (worker_no, week_start)
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
        pieces.season,
        'burden' as kind,
        (
            (pieces.straight_usd + pieces.extra_pay_usd)::decimal(26, 12)
            * (firm.burden_rate + pieces.compensation_rate)::decimal(26, 12)
        )::decimal(38, 12) as usd
    from pieces
    inner join firm using (season)
    where pieces.is_employee
    union all
    select
        premiums.season,
        'burden' as kind,
        (premiums.premium_usd::decimal(26, 12) * firm.burden_rate)::decimal(38, 12) as usd
    from premiums
    inner join firm using (season)
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
