-- facts.feeds: one row a feed of a job: what hangs on one supply plug.
-- Inputs: facts.feed_runs, records.jobs (crew). Runs that name no feed are on no row: which one they load is unknown.
-- columns:
--   season: year in which the season starts
--   branch: branch of the job
--   job_no: the job
--   feed: the supply plug, within the job
--   crew: crew that led the installation
--   circuit: circuit of the house that the feed is on; null where its runs name none, or several
--   runs: runs on the feed
--   feet: feet of light line on the feed
--   sockets: sockets on the feed, those capped or taped later among them
--   watts: watts on the feed; null where those of a run are not known
--   volts: volts of the feed; null where no run says, or runs differ
--   has_mixed_volts: whether runs of the feed differ in volts, so that its amps cannot be told
--   gauge: gauge of the thinnest light line on the feed, AWG; null where no item says

with feed_runs as (
    select * from facts.feed_runs
),

jobs as (
    select * from records.jobs
),

hung as (
    select
        season,
        branch,
        job_no,
        feed,
        case when count(distinct circuit) = 1 and count(circuit) = count(*) then min(circuit) end as circuit,
        count(*) as runs,
        sum(feet) as feet,
        sum(sockets)::bigint as sockets,
        case when count(watts) = count(*) then sum(watts) end as watts,
        case when count(distinct volts) = 1 then min(volts) end as volts,
        count(distinct volts) > 1 as has_mixed_volts,
        max(gauge) as gauge
    from feed_runs
    where feed is not null
    group by season, branch, job_no, feed
),

final as (
    select
        hung.season,
        hung.branch,
        hung.job_no,
        hung.feed,
        jobs.crew,
        hung.circuit,
        hung.runs,
        hung.feet,
        hung.sockets,
        hung.watts,
        hung.volts,
        hung.has_mixed_volts,
        hung.gauge
    from hung
    inner join jobs using (season, branch, job_no)
)

select * from final
