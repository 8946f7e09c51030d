-- measures.goods_beyond_built: one row a season, branch and item, with what was used beyond what stands in the jobs
-- Offcut: issued to new jobs less returned, less what stands in them, less scrap. Scrap: written down as known lost.
-- Replacement: net issue to repeat jobs, less scrap. Service: moved on service days, for either. Used up: zip cord and
-- sundries, which are never built, less scrap. Not told apart: net issue, less scrap, of jobs whose built quantity of
-- the item is not known. Without a job: net issue of the shop. Together with what stands in new jobs they are the net
-- use. Below 0 less was issued than stands, or more came back than went out (audit.goods_findings).
-- Inputs: facts.job_items, facts.goods_moved (units), facts.unit_costs (usd a unit).
-- columns:
--   season: season
--   branch: branch; all: moved without a job or branch
--   item_no: the item
--   kind: kind of item; null where items does not list it
--   unit: unit of the item: ft or each; null where items does not list it
--   offcut: in the item's unit
--   scrap: in the item's unit
--   replacement: in the item's unit
--   service: in the item's unit
--   used_up: in the item's unit
--   not_told_apart: in the item's unit
--   without_job: in the item's unit
--   offcut_usd: at the item's unit cost, exact; null where it has none
--   scrap_usd: at the item's unit cost
--   replacement_usd: at the item's unit cost
--   service_usd: at the item's unit cost
--   used_up_usd: at the item's unit cost
--   not_told_apart_usd: at the item's unit cost
--   without_job_usd: at the item's unit cost
with job_items as (
    select * from facts.job_items
),

moved as (
    select * from facts.goods_moved
    where place = 'accepted'
),

unit_costs as (
    select * from facts.unit_costs
),

service as (
    select
        season,
        branch,
        job_no,
        item_no,
        sum(net_quantity)::decimal(26, 12) as net,
        coalesce(sum(quantity) filter (where moved = 'scrapped'), 0)::decimal(26, 12) as scrapped
    from moved
    where is_service
    group by season, branch, job_no, item_no
),

used as (
    select
        job_items.season,
        job_items.branch,
        job_items.item_no,
        job_items.work,
        job_items.built,
        coalesce(job_items.kind in ('zip_cord', 'sundry'), false) as is_used_up,
        coalesce(service.net, 0)::decimal(26, 12) as service,
        (job_items.scrapped - coalesce(service.scrapped, 0))::decimal(26, 12) as scrap,
        (job_items.net - coalesce(service.net, 0) - job_items.scrapped + coalesce(service.scrapped, 0))::decimal(26, 12)
            as kept
    from job_items
    left join service using (season, branch, job_no, item_no)
),

told_apart as (
    select
        *,
        case
            when is_used_up then 'used_up'
            when built is null then 'not_told_apart'
            when work = 'new' then 'offcut'
            else 'replacement'
        end as what
    from used
),

ways as (
    select
        season,
        branch,
        item_no,
        what,
        case what when 'offcut' then kept - built else kept end as quantity
    from told_apart
    union all
    select
        season,
        branch,
        item_no,
        'scrap' as what,
        scrap as quantity
    from told_apart
    union all
    select
        season,
        branch,
        item_no,
        'service' as what,
        service as quantity
    from told_apart
    union all
    select
        season,
        coalesce(branch, 'all') as branch,
        item_no,
        'without_job' as what,
        net_quantity as quantity
    from moved
    where job_no is null
),

sums as (
    select
        season,
        branch,
        item_no,
        coalesce(sum(quantity) filter (where what = 'offcut'), 0)::decimal(26, 12) as offcut,
        coalesce(sum(quantity) filter (where what = 'scrap'), 0)::decimal(26, 12) as scrap,
        coalesce(sum(quantity) filter (where what = 'replacement'), 0)::decimal(26, 12) as replacement,
        coalesce(sum(quantity) filter (where what = 'service'), 0)::decimal(26, 12) as service,
        coalesce(sum(quantity) filter (where what = 'used_up'), 0)::decimal(26, 12) as used_up,
        coalesce(sum(quantity) filter (where what = 'not_told_apart'), 0)::decimal(26, 12) as not_told_apart,
        coalesce(sum(quantity) filter (where what = 'without_job'), 0)::decimal(26, 12) as without_job
    from ways
    group by season, branch, item_no
),

final as (
    select
        sums.season,
        sums.branch,
        sums.item_no,
        unit_costs.kind,
        unit_costs.unit,
        sums.offcut,
        sums.scrap,
        sums.replacement,
        sums.service,
        sums.used_up,
        sums.not_told_apart,
        sums.without_job,
        mul_div(unit_costs.cost_usd, sums.offcut, unit_costs.cost_quantity) as offcut_usd,
        mul_div(unit_costs.cost_usd, sums.scrap, unit_costs.cost_quantity) as scrap_usd,
        mul_div(unit_costs.cost_usd, sums.replacement, unit_costs.cost_quantity) as replacement_usd,
        mul_div(unit_costs.cost_usd, sums.service, unit_costs.cost_quantity) as service_usd,
        mul_div(unit_costs.cost_usd, sums.used_up, unit_costs.cost_quantity) as used_up_usd,
        mul_div(unit_costs.cost_usd, sums.not_told_apart, unit_costs.cost_quantity) as not_told_apart_usd,
        mul_div(unit_costs.cost_usd, sums.without_job, unit_costs.cost_quantity) as without_job_usd
    from sums
    left join unit_costs using (season, item_no)
)

select * from final
