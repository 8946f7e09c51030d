-- staging.work_entries: one row an accepted or held hours row, with the wage in force that day
-- Held hours count for the week's overtime; rejected hours do not. Hours in h, wages in usd an hour.
-- columns:
--   season: season
--   branch: branch of the job or of the row; null: not said
--   branch_set: branches closed together
--   job_no: job; null: shop time
--   crew: crew
--   worker_no: worker
--   work_date: day
--   task: what was done
--   hours: paid hours
--   place: accepted or held
--   engaged: how the worker is engaged
--   role: the worker's role that day
--   hourly_wage: wage of that day; null: not known
--   compensation_rate: workers' compensation, share of pay without the premium; null: not given for the role
--   week_start: first day of the workweek
--   source_file: file
--   source_sheet: sheet
--   source_row: row
with accepted as (
    select * from records.hours
),

held as (
    select * from refused.hours
    where place = 'held'
),

wages as (
    select * from staging.wages
),

firm as (
    select * from staging.firm_settings
),

entries as (
    select
        season,
        branch,
        branch_set,
        job_no,
        crew,
        worker_no,
        work_date,
        task,
        hours,
        'accepted' as place,
        source_file,
        source_sheet,
        source_row
    from accepted
    union all
    select
        season,
        branch,
        branch_set,
        job_no,
        crew,
        worker_no,
        work_date,
        task,
        hours,
        'held' as place,
        source_file,
        source_sheet,
        source_row
    from held
),

final as (
    select
        entries.season,
        entries.branch,
        entries.branch_set,
        entries.job_no,
        entries.crew,
        entries.worker_no,
        entries.work_date,
        entries.task,
        entries.hours,
        entries.place,
        coalesce(wages.engaged, 'employee') as engaged,
        wages.role,
        wages.hourly_wage,
        coalesce(wages.compensation_rate, firm.compensation_rate) as compensation_rate,
        entries.work_date - ((isodow(entries.work_date) - firm.week_start_day + 7) % 7)::integer as week_start,
        entries.source_file,
        entries.source_sheet,
        entries.source_row
    from entries
    inner join firm on entries.season = firm.season
    asof left join wages
        on
            entries.season = wages.season
            and entries.worker_no = wages.worker_no
            and entries.work_date >= wages.from_date
)

select * from final
