-- feet_agree: a job whose feet in its hours and in its cost differ, or are not those of its runs.
with runs as (
    select * from records.runs
),

job_hours as (
    select * from facts.job_hours
),

job_cost as (
    select * from measures.job_cost
),

run_feet as (
    select
        season,
        branch,
        job_no,
        sum(feet) as feet
    from runs
    group by season, branch, job_no
),

final as (
    select
        season,
        branch,
        job_no,
        concat_ws(
            ' ', 'feet', job_hours.feet, 'in its hours,', job_cost.feet, 'in its cost,', run_feet.feet, 'in its runs'
        ) as why
    from job_hours
    full join job_cost using (season, branch, job_no)
    left join run_feet using (season, branch, job_no)
    where
        job_hours.feet is distinct from job_cost.feet
        or run_feet.feet <> job_cost.feet
)

select * from final
