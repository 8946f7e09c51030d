-- facts.job_items: one row a job and item that was moved for it or built into it.
-- What went to the job and what stands in the finished job.
-- Inputs: facts.goods_moved (quantities in the item's unit), records.runs, run_bulbs, connections, items.
-- Built: of a run its feet of line, its sockets of bulbs (by share where run_bulbs has shares, fractions kept) and
-- its fasteners, one a socket unless given. Taped and capped sockets keep no bulb: they are taken off the job's bulbs,
-- over its bulb items by their number. Of a connection its item, else the only item of the kind: 2 plugs, 1 inline tap,
-- 1 timer, 1 cap for a capped socket. Zip cord and sundries are never built. Where that cannot be known (no runs, no
-- connections sheet, several items of a kind and none named) built is null.
-- Built for the run alone: measures.item_use and facts.goods_costs hold its sums.
-- columns:
--   season: year in which the season starts
--   branch: branch of the job
--   job_no: the job
--   property_no: its property
--   customer_no: its customer
--   work: new or repeat
--   terms: leased or sold
--   item_no: the item
--   kind: kind of item; null where items does not list it
--   unit: unit of the item: ft or each
--   issued: issued to the job, in the item's unit
--   returned: put back into stock during the season, in the item's unit
--   scrapped: known lost, in the item's unit; a part of what was not returned
--   net: issued - returned
--   built: stands in the finished job, in the item's unit; null where it cannot be known

with jobs as (
    select * from records.jobs
),

runs as (
    select * from records.runs
),

run_bulbs as (
    select * from records.run_bulbs
),

connections as (
    select * from records.connections
),

records_items as (
    select * from records.items
),

goods_moved as (
    select * from facts.goods_moved
),

handed_in as (
    select * from staging.handed_in
),

items as (
    select
        season,
        item_no,
        any_value(kind order by source_file, source_row) as kind,
        any_value(unit order by source_file, source_row) as unit
    from records_items
    group by season, item_no
),

only_items as (
    select
        season,
        kind,
        any_value(item_no) as item_no
    from items
    group by season, kind
    having count(*) = 1
),

made_with as (
    select
        connections.season,
        connections.branch,
        connections.job_no,
        coalesce(connections.item_no, only_items.item_no) as item_no,
        case connections.kind when 'capped_socket' then 'cap' else connections.kind end as item_kind,
        case connections.kind when 'plug' then 2 else 1 end * connections.count as quantity
    from connections
    left join only_items
        on
            connections.season = only_items.season
            and case connections.kind when 'capped_socket' then 'cap' else connections.kind end = only_items.kind
    where
        connections.count > 0
        and (connections.item_no is not null or connections.kind in ('plug', 'inline_tap', 'timer', 'capped_socket'))
),

not_known as (
    select distinct
        season,
        branch,
        job_no,
        item_kind as kind
    from made_with
    where item_no is null
),

sealed as (
    select
        season,
        branch,
        job_no,
        sum(count) as sockets
    from connections
    where kind in ('taped_socket', 'capped_socket')
    group by season, branch, job_no
),

bulbs_hung as (
    select
        runs.season,
        runs.branch,
        runs.job_no,
        coalesce(run_bulbs.bulb_item, runs.bulb_item) as item_no,
        sum((runs.sockets * coalesce(run_bulbs.share, 1))::decimal(26, 12)) as bulbs
    from runs
    left join run_bulbs using (season, branch, job_no, run_no)
    group by runs.season, runs.branch, runs.job_no, coalesce(run_bulbs.bulb_item, runs.bulb_item)
),

bulbs_of_jobs as (
    select
        season,
        branch,
        job_no,
        sum(bulbs_hung.bulbs) as job_bulbs
    from bulbs_hung
    semi join sealed using (season, branch, job_no)
    group by season, branch, job_no
),

bulbs_left as (
    select
        season,
        branch,
        job_no,
        bulbs_hung.item_no,
        case
            when sealed.sockets is null then bulbs_hung.bulbs
            when sealed.sockets >= bulbs_of_jobs.job_bulbs then 0
            else bulbs_hung.bulbs - mul_div(bulbs_hung.bulbs, sealed.sockets, bulbs_of_jobs.job_bulbs)
        end as quantity
    from bulbs_hung
    left join sealed using (season, branch, job_no)
    left join bulbs_of_jobs using (season, branch, job_no)
),

pieces as (
    select
        season,
        branch,
        job_no,
        line_item as item_no,
        feet as quantity
    from runs
    union all
    select
        season,
        branch,
        job_no,
        fastener_item as item_no,
        coalesce(fasteners, sockets) as quantity
    from runs
    where fastener_item is not null
    union all
    select
        season,
        branch,
        job_no,
        item_no,
        quantity
    from bulbs_left
    union all
    select
        season,
        branch,
        job_no,
        item_no,
        quantity
    from made_with
    where item_no is not null
),

built as (
    select
        season,
        branch,
        job_no,
        item_no,
        sum(quantity) as built
    from pieces
    group by season, branch, job_no, item_no
),

moved as (
    select
        season,
        branch,
        job_no,
        item_no,
        coalesce(sum(quantity) filter (where moved = 'issued'), 0) as issued,
        coalesce(sum(quantity) filter (where moved = 'returned'), 0) as returned,
        coalesce(sum(quantity) filter (where moved = 'scrapped'), 0) as scrapped
    from goods_moved
    where place = 'accepted' and job_no is not null
    group by season, branch, job_no, item_no
),

jobs_with_runs as (
    select distinct
        season,
        branch,
        job_no
    from runs
),

branches_with_connections as (
    select
        season,
        branch
    from handed_in
    where record_table = 'connections'
),

job_items as (
    select
        season,
        branch,
        job_no,
        item_no,
        built.built,
        coalesce(moved.issued, 0) as issued,
        coalesce(moved.returned, 0) as returned,
        coalesce(moved.scrapped, 0) as scrapped
    from moved
    full join built using (season, branch, job_no, item_no)
),

final as (
    select
        job_items.season,
        job_items.branch,
        job_items.job_no,
        jobs.property_no,
        jobs.customer_no,
        jobs.work,
        jobs.terms,
        job_items.item_no,
        items.kind,
        items.unit,
        job_items.issued::decimal(26, 12) as issued,
        job_items.returned::decimal(26, 12) as returned,
        job_items.scrapped::decimal(26, 12) as scrapped,
        (job_items.issued - job_items.returned)::decimal(26, 12) as net,
        case
            when items.kind in ('zip_cord', 'sundry') then 0
            when items.kind in ('light_line', 'bulb', 'fastener') and jobs_with_runs.job_no is null then null
            when
                items.kind in ('plug', 'inline_tap', 'timer', 'cap')
                and (branches_with_connections.branch is null or not_known.job_no is not null)
                then null
            else coalesce(job_items.built, 0)
        end::decimal(26, 12) as built
    from job_items
    inner join jobs using (season, branch, job_no)
    left join items using (season, item_no)
    left join jobs_with_runs using (season, branch, job_no)
    left join branches_with_connections using (season, branch)
    left join not_known
        on
            job_items.season = not_known.season
            and job_items.branch = not_known.branch
            and job_items.job_no = not_known.job_no
            and items.kind = not_known.kind
)

select * from final
