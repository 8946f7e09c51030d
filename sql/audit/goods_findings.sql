-- audit.goods_findings: one row a quantity of goods that cannot be as it is written
-- They stop nothing: the figures take the rows as they are. Each says which record to look at again.
-- Inputs: facts.job_items, facts.goods_moved, facts.goods_costs, facts.unit_costs, measures.shrinkage,
-- measures.leased_write_downs.
-- columns:
--   season: season
--   branch: branch; null: not said
--   job_no: job; null: shop or stock
--   item_no: item
--   rule: what does not hold
--   quantity: by how much it does not, in the item's unit; null where it is not known
--   usd: the same at the item's unit cost, exact; null where it has none
--   why: the finding as a sentence
with job_items as (
    select * from facts.job_items
),

moved as (
    select * from facts.goods_moved
    where place = 'accepted'
),

goods as (
    select * from facts.goods_costs
    where lease_usd > 0
),

jobs as (
    select * from records.jobs
),

unit_costs as (
    select * from facts.unit_costs
),

shrinkage as (
    select * from measures.shrinkage
),

write_downs as (
    select * from measures.leased_write_downs
),

shop as (
    select
        season,
        branch,
        item_no,
        sum(net_quantity) as net
    from moved
    where job_no is null
    group by season, branch, item_no
),

impossible as (
    select
        season,
        branch,
        job_no,
        item_no,
        'no_more_comes_back_than_was_issued' as rule,
        -net as quantity,
        'more came back from this new job than was issued to it' as why
    from job_items
    where work = 'new' and net < 0
    union all
    select
        season,
        branch,
        job_no,
        item_no,
        'no_more_comes_back_than_stands' as rule,
        -net - coalesce(built, 0) as quantity,
        'more came back from this job than was issued to it and stood in it' as why
    from job_items
    where work = 'repeat' and net < 0 and (terms = 'sold' or -net > coalesce(built, 0))
    union all
    select
        season,
        branch,
        job_no,
        item_no,
        'what_stands_was_issued' as rule,
        built - net as quantity,
        'more stands in this new job than was issued to it and not returned' as why
    from job_items
    where work = 'new' and net >= 0 and net < floor(built)
    union all
    select
        season,
        branch,
        null as job_no,
        item_no,
        'no_more_comes_back_than_was_issued' as rule,
        -net as quantity,
        'more came back to the shop without a job than was issued without one' as why
    from shop
    where net < 0
    union all
    select
        season,
        nullif(branch, 'all') as branch,
        null as job_no,
        item_no,
        'what_is_counted_can_be_there' as rule,
        -shrinkage as quantity,
        'more was counted at the end than was there at the start, bought and not issued' as why
    from shrinkage
    where shrinkage < 0
    union all
    select
        season,
        branch,
        job_no,
        item_no,
        'goods_have_a_price' as rule,
        sum(quantity) as quantity,
        case
            when count(quantity) < count(*) then 'moved in packs, but items does not say what a pack of it holds'
            else 'moved, but neither listed in items nor bought'
        end as why
    from moved
    where moved <> 'scrapped' and net_usd is null
    group by season, branch, job_no, item_no
    union all
    select
        goods.season,
        goods.branch,
        goods.job_no,
        goods.item_no,
        'what_was_written_down_is_gone' as rule,
        goods.built_quantity as quantity,
        'bears leased goods that were written down in season ' || max(write_downs.season)
        || ', when the property had no leased repeat work' as why
    from goods
    inner join jobs using (season, branch, job_no)
    inner join write_downs
        on
            jobs.property_no = write_downs.property_no
            and goods.item_no = write_downs.item_no
            and goods.built_season = write_downs.built_season
            and goods.season > write_downs.season
    where jobs.work = 'repeat'
    group by goods.season, goods.branch, goods.job_no, goods.item_no, goods.built_quantity
),

final as (
    select
        impossible.season,
        impossible.branch,
        impossible.job_no,
        impossible.item_no,
        impossible.rule,
        impossible.quantity::decimal(38, 12) as quantity,
        mul_div(unit_costs.cost_usd, impossible.quantity, unit_costs.cost_quantity) as usd,
        impossible.why
    from impossible
    left join unit_costs using (season, item_no)
)

select * from final
