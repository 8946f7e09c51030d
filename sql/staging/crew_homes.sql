-- staging.crew_homes: one row a crew, with the branch where it led most jobs (tie: the first name)
-- columns:
--   season: season
--   branch_set: branches closed together
--   crew: crew
--   home: branch
with jobs as (
    select * from records.jobs
),

led as (
    select
        season,
        branch_set,
        crew,
        branch,
        count(*) as jobs
    from jobs
    group by season, branch_set, crew, branch
),

final as (
    select
        season,
        branch_set,
        crew,
        branch as home
    from led
    qualify row_number() over (partition by season, branch_set, crew order by jobs desc, branch asc) = 1
)

select * from final
