-- facts.feed_runs: one row a run of light line, with what it loads its feed and its circuit with.
-- Inputs: records.runs (feet, sockets), run_bulbs (share), items (watts each of a bulb; volts and gauge of a line).
-- Sockets that were capped or taped later are not taken off: which run they are on is not recorded, so that sockets and
-- watts are the most that the run can hold. Runs that were rejected or held are missing here.
-- columns:
--   season: year in which the season starts
--   branch: branch of the job
--   job_no: the job
--   run_no: the run
--   feed: the supply plug that the run hangs on; null where the run names none
--   circuit: the house's circuit; null where the run names none
--   feet: fastened length, ft
--   spacing_in: socket to socket, inches
--   sockets: sockets of the run
--   watts: sockets x watts each, by share where colours alternate; null where a bulb's watts are not known
--   volts: volts of the light line, else of the bulb; null where neither item says
--   gauge: wire gauge of the light line, AWG; null where the item does not say

with runs as (
    select * from records.runs
),

run_bulbs as (
    select * from records.run_bulbs
),

records_items as (
    select * from records.items
),

items as (
    select
        season,
        item_no,
        any_value(watts order by source_file, source_row) as watts,
        any_value(volts order by source_file, source_row) as volts,
        any_value(gauge order by source_file, source_row) as gauge
    from records_items
    group by season, item_no
),

bulbs as (
    select
        runs.season,
        runs.branch,
        runs.job_no,
        runs.run_no,
        sum((coalesce(run_bulbs.share, 1) * items.watts)::decimal(26, 12)) as watts_each,
        bool_or(items.watts is null) as has_unknown_watts
    from runs
    left join run_bulbs using (season, branch, job_no, run_no)
    left join items
        on
            runs.season = items.season
            and coalesce(run_bulbs.bulb_item, runs.bulb_item) = items.item_no
    group by runs.season, runs.branch, runs.job_no, runs.run_no
),

final as (
    select
        runs.season,
        runs.branch,
        runs.job_no,
        runs.run_no,
        runs.feed,
        runs.circuit,
        runs.feet,
        runs.spacing_in,
        runs.sockets,
        case when not bulbs.has_unknown_watts then (runs.sockets * bulbs.watts_each)::decimal(26, 12) end as watts,
        coalesce(lines.volts, lamps.volts) as volts,
        lines.gauge
    from runs
    inner join bulbs using (season, branch, job_no, run_no)
    left join items as lines on runs.season = lines.season and runs.line_item = lines.item_no
    left join items as lamps on runs.season = lamps.season and runs.bulb_item = lamps.item_no
)

select * from final
