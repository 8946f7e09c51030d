-- trace.crew_hours: one row an hours row that counts in a crew's prep and install hours
-- asked: season, branch, crew.
-- columns:
--   part: prep or install
--   what: day, worker and job
--   quantity: hours
--   unit: h
--   rate_usd: null
--   amount_usd: null
--   rule: why it counts
--   source_file: file
--   source_sheet: sheet
--   source_row: row
with asked as (
    select * from temp.asked
),

hours as (
    select hours.* from records.hours
    semi join asked using (season, branch, crew)
),

job_hours as (
    select * from facts.job_hours
),

expected as (
    select * from decisions.crew_jobs
),

final as (
    select
        hours.task as part,
        concat_ws(', ', hours.work_date, hours.worker_no, 'job ' || hours.job_no) as what,
        hours.hours as quantity,
        'h' as unit,
        null::double as rate_usd,
        null::decimal(38, 12) as amount_usd,
        concat(
            'on ', round(job_hours.feet, 1)::double, ' ft',
            '; the average crew takes ' || round(expected.expected_hours, 2) || ' h for the job'
        ) as rule,
        hours.source_file,
        hours.source_sheet,
        hours.source_row
    from hours
    inner join job_hours using (season, branch, job_no)
    left join expected using (season, branch, job_no)
    where hours.task in ('prep', 'install') and job_hours.feet is not null
    order by hours.task, hours.work_date, hours.source_file, hours.source_sheet, hours.source_row
)

select * from final
