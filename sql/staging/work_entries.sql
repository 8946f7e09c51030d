-- staging.work_entries: one row an accepted or held hours row
-- Held hours count for the week's overtime; rejected hours do not. Hours in h; what they are paid is facts.paid_hours.
-- Built as a view: it only puts two tables of records together.
-- columns:
--   entry: number of the row, another after each close; it tells rows apart within one query
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
--   source_file: file
--   source_sheet: sheet
--   source_row: row
with accepted as (
    select
        *,
        rowid as entry
    from records.hours
),

held as (
    select
        *,
        -1 - rowid as entry
    from refused.hours
    where place = 'held'
),

final as (
    select
        entry,
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
        entry,
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
)

select * from final
