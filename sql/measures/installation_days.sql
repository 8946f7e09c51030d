-- measures.installation_days: one row a job, with the days that its lights hung.
-- Holiday decorative lighting counts as temporary wiring for 90 days at most (NEC 590.3(B)); local code may say less.
-- Inputs: records.jobs (install_date, takedown_date, lit_nights).
-- columns:
--   season: year in which the season starts
--   branch: branch of the job
--   job_no: the job
--   install_date: day of installation
--   takedown_date: day of takedown; null: still up when the records ended
--   days_up: days from installation to takedown; null while still up
--   lit_nights: nights lit

with jobs as (
    select * from records.jobs
),

final as (
    select
        season,
        branch,
        job_no,
        install_date,
        takedown_date,
        takedown_date - install_date as days_up,
        lit_nights
    from jobs
)

select * from final
