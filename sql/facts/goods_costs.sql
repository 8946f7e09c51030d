-- facts.goods_costs: one row a job and item, with what its goods cost the job this season
-- At list price (pack_price / pack_size). Sold goods: issued less returned. Leased on a new job: the built quantity's
-- share of its life, and what was used beyond the built quantity (offcut, scrap) in full; the rest is capitalised.
-- Leased on a repeat job: the built quantity's share of its life, and every net issue (a replacement) in full. The
-- share of a season k seasons after the lines were cut is max(0, min(1 / life, 1 - k / life)); without built_season
-- 1 / life. Goods moved on a service day are not here: they are the part service. What is not known to stand in a job
-- counts as nothing built: the net issue of a new job is then expensed in full. Where no goods movements were handed in
-- but what was bought in all, that stands for the goods, and no shares are taken beside it.
-- Inputs: facts.goods_moved (net quantities), facts.job_items (built quantities), records.items (usd a pack).
-- columns:
--   season: season
--   branch: branch
--   branch_set: branches closed together
--   job_no: job
--   item_no: item
--   net_usd: issued less returned, exact
--   lease_usd: this season's share of built goods that the firm owns, exact
--   expensed_usd: what of the net issue this season bears, exact
--   on_job_usd: lease + expensed
--   capitalised_usd: net issue carried to later seasons, before this season's share
--   carried_usd: of that, what is left after this season's share
with moved as (
    select * from facts.goods_moved
),

job_items as (
    select * from facts.job_items
),

jobs as (
    select * from records.jobs
),

items as (
    select * from records.items
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

priced_items as (
    select
        season,
        item_no,
        any_value(pack_size order by source_file, source_row) as pack_size,
        any_value(pack_price order by source_file, source_row) as pack_price,
        any_value(life_seasons order by source_file, source_row) as life_seasons
    from items
    group by season, item_no
),

nets as (
    select
        season,
        branch,
        job_no,
        item_no,
        sum(net_quantity)::decimal(26, 12) as net
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
        sum(built)::decimal(26, 12) as built
    from job_items
    group by season, branch, job_no, item_no
),

quantities as (
    select
        season,
        branch,
        job_no,
        item_no,
        coalesce(nets.net, 0)::decimal(26, 12) as net,
        coalesce(built.built, 0)::decimal(26, 12) as built
    from nets
    full join built using (season, branch, job_no, item_no)
),

seasons_left as (
    select
        quantities.*,
        jobs.branch_set,
        jobs.work,
        jobs.terms,
        priced_items.pack_size,
        priced_items.pack_price,
        priced_items.life_seasons as life,
        case
            when jobs.work = 'new' then least(1, priced_items.life_seasons)
            when jobs.built_season is null then least(1, priced_items.life_seasons)
            else greatest(
                0, least(1, priced_items.life_seasons - greatest(0, quantities.season - jobs.built_season))
            )
        end::decimal(26, 12) as part_of_life
    from quantities
    inner join jobs using (season, branch, job_no)
    left join priced_items using (season, item_no)
    anti join bought_in_all on jobs.season = bought_in_all.season and jobs.branch_set = bought_in_all.branch_set
),

valued as (
    select
        *,
        mul_div(pack_price, net, pack_size)::decimal(38, 12) as net_usd,
        mul_div(pack_price, built, pack_size)::decimal(38, 12) as built_usd,
        mul_div(pack_price, greatest(0, net - built), pack_size)::decimal(38, 12) as beyond_usd
    from seasons_left
),

shared as (
    select
        *,
        case when terms = 'leased' then mul_div(built_usd, part_of_life, life) else 0 end::decimal(38, 12)
            as lease_usd,
        case when terms = 'leased' and work = 'new' then beyond_usd else net_usd end::decimal(38, 12)
            as expensed_usd
    from valued
),

final as (
    select
        season,
        branch,
        branch_set,
        job_no,
        item_no,
        net_usd,
        lease_usd,
        expensed_usd,
        (lease_usd + expensed_usd)::decimal(38, 12) as on_job_usd,
        (net_usd - expensed_usd)::decimal(38, 12) as capitalised_usd,
        case
            when terms = 'leased' and work = 'new' then net_usd - expensed_usd - lease_usd
            else 0
        end::decimal(38, 12) as carried_usd
    from shared
)

select * from final
