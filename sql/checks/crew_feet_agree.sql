-- crew_feet_agree: a season and branch whose crews' feet are not the feet of the jobs that they built.
-- Feet are split in floating point and kept to 12 decimals: a millionth of a foot is agreement.
with job_hours as (
    select * from facts.job_hours
),

crew_hours as (
    select * from measures.crew_hours
),

on_jobs as (
    select
        season,
        branch,
        sum(feet) as feet
    from job_hours
    where prep_hours + install_hours > 0
    group by season, branch
),

by_crews as (
    select
        season,
        branch,
        sum(feet) as feet
    from crew_hours
    group by season, branch
),

final as (
    select
        season,
        branch,
        'the jobs have ' || coalesce(on_jobs.feet, 0) || ' ft but the crews ' || coalesce(by_crews.feet, 0) as why
    from on_jobs
    full join by_crews using (season, branch)
    where abs(coalesce(on_jobs.feet, 0) - coalesce(by_crews.feet, 0)) > 0.000001
)

select * from final
