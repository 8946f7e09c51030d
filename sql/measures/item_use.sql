-- measures.item_use: one row a season, branch and item that was moved or built.
-- What was taken, what came back, what stands in the finished jobs, and what was used beyond that (offcut, scrap,
-- replacements).
-- Inputs: facts.job_items, facts.goods_moved (goods moved without a job), facts.unit_costs (usd a unit).
-- Goods moved without a job and without a branch stand under branch all; all is not the sum of the branches. A job
-- whose built quantity of the item is not known is left out of built and beyond_built; its net use is net_of_unknown.
-- columns:
--   season: year in which the season starts
--   branch: branch; all: moved without a job or branch
--   item_no: the item
--   kind: kind of item; null where items does not list it
--   unit: unit of the item: ft or each
--   issued: issued, in the item's unit
--   returned: put back into stock during the season, in the item's unit
--   scrapped: known lost, in the item's unit
--   net_used: issued - returned
--   built: stands in the finished jobs, in the item's unit; null where it is known of no job
--   beyond_built: net use of the jobs whose built quantity is known, less that quantity; null where it is known of none
--   net_of_unknown: net use of the jobs whose built quantity is not known
--   net_without_job: net use of goods moved without a job
--   built_new: built on new jobs
--   net_new: net use on new jobs
--   built_repeat: built on repeat jobs
--   net_repeat: net use on repeat jobs
--   unit_cost_usd: cost of a unit: of purchases and opening stock, else the list price; usd

with job_items as (
    select * from facts.job_items
),

goods_moved as (
    select * from facts.goods_moved
),

items as (
    select * from facts.unit_costs
),

on_jobs as (
    select
        season,
        branch,
        item_no,
        sum(issued) as issued,
        sum(returned) as returned,
        sum(scrapped) as scrapped,
        sum(net) as net,
        sum(built) as built,
        sum(net - built) as beyond_built,
        sum(net) filter (where built is null) as net_of_unknown,
        sum(built) filter (where work = 'new') as built_new,
        sum(net) filter (where work = 'new') as net_new,
        sum(built) filter (where work = 'repeat') as built_repeat,
        sum(net) filter (where work = 'repeat') as net_repeat
    from job_items
    group by season, branch, item_no
),

without_job as (
    select
        season,
        coalesce(branch, 'all') as branch,
        item_no,
        sum(quantity) filter (where moved = 'issued') as issued,
        sum(quantity) filter (where moved = 'returned') as returned,
        sum(quantity) filter (where moved = 'scrapped') as scrapped,
        sum(net_quantity) as net
    from goods_moved
    where place = 'accepted' and job_no is null
    group by season, coalesce(branch, 'all'), item_no
),

used as (
    select
        season,
        branch,
        item_no,
        coalesce(on_jobs.issued, 0) + coalesce(without_job.issued, 0) as issued,
        coalesce(on_jobs.returned, 0) + coalesce(without_job.returned, 0) as returned,
        coalesce(on_jobs.scrapped, 0) + coalesce(without_job.scrapped, 0) as scrapped,
        coalesce(on_jobs.net_of_unknown, 0) as net_of_unknown,
        coalesce(without_job.net, 0) as net_without_job,
        on_jobs.built,
        on_jobs.beyond_built,
        on_jobs.built_new,
        on_jobs.net_new,
        on_jobs.built_repeat,
        on_jobs.net_repeat
    from on_jobs
    full join without_job using (season, branch, item_no)
),

final as (
    select
        used.season,
        used.branch,
        used.item_no,
        items.kind,
        items.unit,
        used.issued::decimal(26, 12) as issued,
        used.returned::decimal(26, 12) as returned,
        used.scrapped::decimal(26, 12) as scrapped,
        (used.issued - used.returned)::decimal(26, 12) as net_used,
        used.built::decimal(26, 12) as built,
        used.beyond_built::decimal(26, 12) as beyond_built,
        used.net_of_unknown::decimal(26, 12) as net_of_unknown,
        used.net_without_job::decimal(26, 12) as net_without_job,
        used.built_new::decimal(26, 12) as built_new,
        used.net_new::decimal(26, 12) as net_new,
        used.built_repeat::decimal(26, 12) as built_repeat,
        used.net_repeat::decimal(26, 12) as net_repeat,
        items.unit_cost_usd
    from used
    left join items using (season, item_no)
)

select * from final
