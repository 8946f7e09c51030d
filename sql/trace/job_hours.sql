-- trace.job_hours: one row an hours row of a job, with what it cost
-- asked: season, branch, job_no.
-- columns:
--   part: labor or service
--   what: task, worker and day
--   quantity: hours
--   unit: h
--   rate_usd: loaded cost of an hour
--   amount_usd: loaded cost
--   rule: how the amount is made up
--   source_file: file
--   source_sheet: sheet
--   source_row: row
with asked as (
    select * from temp.asked
),

hours as (
    select loaded_hours.* from facts.loaded_hours
    semi join asked using (season, branch, job_no)
),

final as (
    select
        destination as part,
        task || ' by ' || worker_no || ' on ' || work_date as what,
        hours as quantity,
        'h' as unit,
        loaded_usd / nullif(hours, 0) as rate_usd,
        coalesce(loaded_usd, 0)::decimal(38, 12) as amount_usd,
        case
            when loaded_usd is null then 'no wage is known'
            else concat(
                'pay ', round(coalesce(straight_usd, 0) + extra_pay_usd, 2)::decimal(18, 2),
                ' + overtime premium ', round(premium_usd, 2)::decimal(18, 2),
                ' + burden ', round(burden_usd, 2)::decimal(18, 2)
            )
        end as rule,
        source_file,
        source_sheet,
        source_row
    from hours
    where destination in ('labor', 'service')
    order by destination, work_date, worker_no, source_file, source_sheet, source_row
)

select * from final
