-- facts.circuits: one row a job and circuit of the house, as far as this firm's lights load it.
-- Inputs: facts.feed_runs. Runs that name no circuit stand together on a row of their own, as if all of them were on
-- one circuit: the most that they can load one with. What else the house draws on the circuit is not recorded.
-- columns:
--   season: year in which the season starts
--   branch: branch of the job
--   job_no: the job
--   circuit: the circuit, within the job; null: the job's runs that name none, taken together
--   feeds: feeds on it, as far as runs name them
--   runs: runs on it
--   watts: watts of the runs; null where those of a run are not known

with feed_runs as (
    select * from facts.feed_runs
),

final as (
    select
        season,
        branch,
        job_no,
        circuit,
        count(distinct feed) as feeds,
        count(*) as runs,
        case when count(watts) = count(*) then sum(watts) end as watts
    from feed_runs
    group by season, branch, job_no, circuit
)

select * from final
