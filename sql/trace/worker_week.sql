-- trace.worker_week: one row an hours row of a worker's week, over all branches and seasons, with how it is paid
-- asked: worker_no, work_date (any day of the week).
-- columns:
--   part: labor, service, indirect, outside or held
--   what: day, task and job
--   quantity: hours
--   unit: h
--   rate_usd: wage of the day
--   amount_usd: loaded cost
--   rule: how the amount is made up
--   straight_usd: hours x wage
--   extra_pay_usd: share of bonus, piece and day pay
--   premium_usd: share of the week's overtime premium
--   burden_usd: employer's burden
--   overtime_hours: share of the week's overtime hours
--   source_file: file
--   source_sheet: sheet
--   source_row: row
with asked as (
    select * from temp.asked
),

hours as (
    select loaded_hours.* from facts.loaded_hours
    semi join asked using (worker_no)
),

in_week as (
    select hours.*
    from hours
    inner join asked on asked.work_date between hours.week_start and hours.week_start + 6
),

final as (
    select
        destination as part,
        concat_ws(', ', work_date, task, 'job ' || job_no) as what,
        hours as quantity,
        'h' as unit,
        hourly_wage::double as rate_usd,
        coalesce(loaded_usd, 0)::decimal(38, 12) as amount_usd,
        concat(
            'straight ', round(coalesce(straight_usd, 0), 2)::decimal(18, 2),
            ' + extra ', round(extra_pay_usd, 2)::decimal(18, 2),
            ' + premium ', round(premium_usd, 2)::decimal(18, 2),
            ' + burden ', round(burden_usd, 2)::decimal(18, 2)
        ) as rule,
        straight_usd,
        extra_pay_usd,
        premium_usd,
        burden_usd,
        overtime_hours,
        source_file,
        source_sheet,
        source_row
    from in_week
    order by destination, work_date, source_file, source_sheet, source_row
)

select * from final
