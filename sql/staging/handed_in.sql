-- staging.handed_in: one row a season, branch and table of records that was handed in for it.
-- A sheet that was handed in without rows means none; a table that is not here is unknown, never none.
-- Inputs: records.jobs (branches), audit.record_tables.
-- columns:
--   season: year in which the season starts
--   branch: branch that has jobs in the season
--   record_table: table of records that was handed in

with jobs as (
    select * from records.jobs
),

record_tables as (
    select * from audit.record_tables
),

branches as (
    select distinct
        season,
        branch,
        branch_set
    from jobs
),

final as (
    select
        branches.season,
        branches.branch,
        record_tables.record_table
    from branches
    inner join record_tables
        on
            branches.season = record_tables.season
            and branches.branch_set = record_tables.branch_set
)

select * from final
