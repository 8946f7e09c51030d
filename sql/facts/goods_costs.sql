-- facts.goods_costs: one row a job and item, with what its goods cost the job this season
-- At the item's unit cost (facts.unit_costs). Sold goods: issued less returned. Leased on a new job: the built
-- quantity's share of its life, and what was used beyond the built quantity (offcut, scrap) in full. What is
-- capitalised is what is borne: the built quantity, whole, even where less was issued to the job. What stands there and
-- was not issued came from somewhere, is read as standing, and is named in audit.goods_findings. Leased on a repeat
-- job: the built quantity's share of its life, and every net issue (a replacement) in full. The share of a season k
-- seasons after the lines were cut is max(0, min(1 / life, 1 - k / life)); without built_season 1 / life. What stands
-- from an earlier season is borne at the unit cost and life of the season that built it, where that is in the store,
-- else at this season's: what was capitalised is then what is borne, to the cent.
-- Goods moved on a service day are not here: they are the part service. What is not known to stand in a job
-- counts as nothing built: the net issue of a new job is then expensed in full. Where no goods movements were handed in
-- but what was bought in all, that stands for the goods, and no shares are taken beside it.
-- Inputs: facts.goods_moved (net quantities), facts.job_items (built quantities), facts.unit_costs (usd a unit).
-- columns:
--   season: season
--   branch: branch
--   branch_set: branches closed together
--   job_no: job
--   item_no: item
--   net_quantity: issued less returned, in the item's unit
--   returned_quantity: put back into stock during the season, in the item's unit
--   built_quantity: known to stand in the finished job, in the item's unit
--   built_season: season in which it was built; null: repeat work that does not say
--   life_seasons: seasons that it lasts
--   net_usd: issued less returned, exact
--   lease_usd: this season's share of built goods that the firm owns, exact
--   expensed_usd: what of the net issue this season bears, exact
--   on_job_usd: lease + expensed
--   not_issued_usd: of the goods built into a new leased job, those that were not issued to it, exact
--   capitalised_usd: goods built this season that the firm owns, whole, exact: net + not issued - expensed
--   standing_usd: cost of the built goods that the firm owns, exact; 0 for sold goods
--   remaining_usd: of that, what later seasons are to bear; null where the season of building is not known
--   carried_usd: the same of the goods that were built this season
with moved as (
    select * from facts.goods_moved
),

job_items as (
    select * from facts.job_items
),

jobs as (
    select * from records.jobs
),

unit_costs as (
    select * from facts.unit_costs
),

purchases as (
    select * from records.purchases
),

record_tables as (
    select * from audit.record_tables
    where record_table = 'materials'
),

bought_in_all as (
    select distinct
        purchases.season,
        purchases.branch_set
    from purchases
    anti join record_tables using (season, branch_set)
),

nets as (
    select
        season,
        branch,
        job_no,
        item_no,
        sum(net_quantity)::decimal(26, 12) as net_quantity,
        sum(greatest(0, -net_quantity))::decimal(26, 12) as returned_quantity
    from moved
    where place = 'accepted' and job_no is not null and not is_service
    group by season, branch, job_no, item_no
),

built as (
    select
        season,
        branch,
        job_no,
        item_no,
        sum(built)::decimal(26, 12) as built_quantity
    from job_items
    group by season, branch, job_no, item_no
),

quantities as (
    select
        season,
        branch,
        job_no,
        item_no,
        coalesce(nets.net_quantity, 0)::decimal(26, 12) as net_quantity,
        coalesce(nets.returned_quantity, 0)::decimal(26, 12) as returned_quantity,
        coalesce(built.built_quantity, 0)::decimal(26, 12) as built_quantity
    from nets
    full join built using (season, branch, job_no, item_no)
),

of_jobs as (
    select
        quantities.*,
        jobs.branch_set,
        jobs.work,
        jobs.terms,
        case
            when jobs.work = 'new' or jobs.built_season > quantities.season then quantities.season
            else jobs.built_season
        end as built_season
    from quantities
    inner join jobs using (season, branch, job_no)
    anti join bought_in_all on jobs.season = bought_in_all.season and jobs.branch_set = bought_in_all.branch_set
),

priced as (
    select
        of_jobs.*,
        now.cost_usd,
        now.cost_quantity,
        coalesce(built_at.cost_usd, now.cost_usd) as built_cost_usd,
        coalesce(built_at.cost_quantity, now.cost_quantity) as built_cost_quantity,
        coalesce(built_at.life_seasons, now.life_seasons) as life_seasons,
        of_jobs.season - coalesce(of_jobs.built_season, of_jobs.season) as seasons_used,
        case
            when of_jobs.terms <> 'leased' or of_jobs.work <> 'new' then 0
            else of_jobs.net_quantity - of_jobs.built_quantity
        end::decimal(26, 12) as beyond_quantity
    from of_jobs
    left join unit_costs as now using (season, item_no)
    left join unit_costs as built_at
        on of_jobs.built_season = built_at.season and of_jobs.item_no = built_at.item_no
),

valued as (
    select
        *,
        mul_div(cost_usd, net_quantity, cost_quantity) as net_usd,
        mul_div(cost_usd, beyond_quantity, cost_quantity) as beyond_usd,
        mul_div(built_cost_usd, built_quantity, built_cost_quantity) as built_usd,
        greatest(0, least(1, life_seasons - seasons_used))::decimal(26, 12) as life_borne,
        greatest(0, life_seasons - seasons_used - 1)::decimal(26, 12) as life_left
    from priced
),

owned as (
    select
        *,
        case when terms = 'sold' then 0 else built_usd end::decimal(38, 12) as standing_usd
    from valued
),

borne as (
    select
        *,
        mul_div(standing_usd, life_borne, life_seasons) as borne_usd,
        mul_div(standing_usd, life_left, life_seasons) as left_usd
    from owned
),

shared as (
    select
        *,
        case when standing_usd = 0 then 0 else borne_usd end::decimal(38, 12) as lease_usd,
        case
            when terms <> 'leased' or work <> 'new' then net_usd
            when beyond_usd < 0 then 0
            else beyond_usd
        end::decimal(38, 12) as expensed_usd,
        case when beyond_usd > 0 then 0 else -beyond_usd end::decimal(38, 12) as not_issued_usd,
        case
            when terms = 'sold' then 0
            when built_season is not null and life_left = 0 then 0
            when built_season is not null then left_usd
        end::decimal(38, 12) as remaining_usd
    from borne
),

final as (
    select
        season,
        branch,
        branch_set,
        job_no,
        item_no,
        net_quantity,
        returned_quantity,
        built_quantity,
        built_season,
        life_seasons,
        net_usd,
        lease_usd,
        expensed_usd,
        case
            when coalesce(lease_usd, expensed_usd) is not null then coalesce(lease_usd, 0) + coalesce(expensed_usd, 0)
        end::decimal(38, 12) as on_job_usd,
        not_issued_usd,
        (net_usd + not_issued_usd - expensed_usd)::decimal(38, 12) as capitalised_usd,
        standing_usd,
        remaining_usd,
        case when work = 'new' then remaining_usd else 0 end::decimal(38, 12) as carried_usd
    from shared
)

select * from final
