-- measures.leased_write_downs: one row a season, job of the season before and item, of leased kits that did not return
-- A kit returns where its property has leased repeat work this season, in any branch. One that does not is written down
-- once, in the first season without it, in its branch and outside the jobs: what later seasons were still to bear, less
-- the part of it that stands in usable goods, which go to stock. Usable are the goods that the records put back: of a
-- kit that was new, what was returned of it in its own season; and what this season's rows return from the absent job
-- (they are held, since it is no job of this season). They keep the part of their value that is not yet borne. Where
-- the branch's season is not in the store, where the value is not known, and while a job of the property lies among the
-- refused rows, nothing is written down.
-- Inputs: facts.goods_costs (usd, units), facts.goods_moved (held returns), records and refused jobs.
-- columns:
--   season: season in which it is written down: the one after the job's
--   branch: branch of the job
--   job_no: the job of the season before
--   item_no: the item
--   property_no: its property
--   built_season: season in which the kit was built
--   built_quantity: stood in the job, in the item's unit
--   usable_quantity: of that, usable by the records, in the item's unit
--   carried_usd: what later seasons were to bear, exact
--   to_stock_usd: of that, in usable goods
--   written_down_usd: the rest: a cost of the branch
with goods as (
    select * from facts.goods_costs
    where remaining_usd > 0
),

jobs as (
    select * from records.jobs
),

refused_jobs as (
    select * from refused.jobs
),

held_returns as (
    select * from facts.goods_moved
    where place = 'held' and moved = 'returned' and job_no is not null
),

back as (
    select
        season,
        property_no
    from jobs
    where terms = 'leased' and work = 'repeat'
    union
    select
        season,
        coalesce(property_no, customer_no) as property_no
    from refused_jobs
),

closed as (
    select distinct
        season,
        branch
    from jobs
),

gone as (
    select
        jobs.season + 1 as season,
        jobs.branch,
        jobs.job_no,
        jobs.property_no,
        jobs.work
    from jobs
    semi join closed on jobs.season + 1 = closed.season and jobs.branch = closed.branch
    anti join back on jobs.season + 1 = back.season and jobs.property_no = back.property_no
    where jobs.terms = 'leased'
),

numbered as (
    select
        *,
        count(*) over (partition by season, job_no) as branches_with_it
    from gone
),

returned_later as (
    select
        numbered.season,
        numbered.branch,
        numbered.job_no,
        held_returns.item_no,
        sum(held_returns.quantity)::decimal(26, 12) as quantity
    from numbered
    inner join held_returns
        on
            numbered.season = held_returns.season
            and numbered.job_no = held_returns.job_no
            and (
                numbered.branch = held_returns.branch
                or (held_returns.branch is null and numbered.branches_with_it = 1)
            )
    group by numbered.season, numbered.branch, numbered.job_no, held_returns.item_no
),

kits as (
    select
        gone.season,
        gone.branch,
        gone.job_no,
        gone.property_no,
        goods.item_no,
        goods.built_season,
        goods.built_quantity,
        goods.remaining_usd as carried_usd,
        least(
            goods.built_quantity,
            case
                when gone.work = 'new'
                    then least(
                        goods.returned_quantity, greatest(0, goods.built_quantity - goods.net_quantity)
                    )
                else 0
            end
            + coalesce(returned_later.quantity, 0)
        )::decimal(26, 12) as usable_quantity
    from gone
    inner join goods
        on gone.season = goods.season + 1 and gone.branch = goods.branch and gone.job_no = goods.job_no
    left join returned_later
        on
            gone.season = returned_later.season
            and gone.branch = returned_later.branch
            and gone.job_no = returned_later.job_no
            and goods.item_no = returned_later.item_no
),

divided as (
    select
        *,
        mul_div(carried_usd, usable_quantity, built_quantity)::decimal(38, 12) as to_stock_usd
    from kits
),

final as (
    select
        season,
        branch,
        job_no,
        item_no,
        property_no,
        built_season,
        built_quantity,
        usable_quantity,
        carried_usd,
        to_stock_usd,
        (carried_usd - to_stock_usd)::decimal(38, 12) as written_down_usd
    from divided
)

select * from final
