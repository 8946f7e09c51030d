-- measures.goods_outside_jobs: one row a season and branch, with the goods that are outside its jobs
-- What was built into leased jobs and carried on is no cost yet; shrinkage and what was written down are costs of the
-- branch that no job bears. Together they are what audit.control has outside for materials.
-- Inputs: facts.goods_costs, measures.shrinkage, measures.leased_write_downs (usd, exact).
-- columns:
--   season: season
--   branch: branch; all: shrinkage that was reckoned over the branches closed together
--   capitalised_usd: issued to new leased jobs and standing there, before this season's share of it
--   to_stock_usd: what usable goods of leased kits that did not return are still worth
--   written_down_usd: what is lost with the rest of those kits
--   kits_gone: leased jobs of the season before that did not return with their kit
--   shrinkage_usd: what stock should hold and does not; null where no item was counted at both ends
with goods as (
    select * from facts.goods_costs
),

shrinkage as (
    select * from measures.shrinkage
),

write_downs as (
    select * from measures.leased_write_downs
),

amounts as (
    select
        season,
        branch,
        'capitalised' as what,
        null as job_no,
        capitalised_usd as usd
    from goods
    union all
    select
        season,
        branch,
        'to_stock' as what,
        job_no,
        to_stock_usd as usd
    from write_downs
    union all
    select
        season,
        branch,
        'written_down' as what,
        job_no,
        written_down_usd as usd
    from write_downs
    union all
    select
        season,
        branch,
        'shrinkage' as what,
        null as job_no,
        shrinkage_usd as usd
    from shrinkage
),

final as (
    select
        season,
        branch,
        to_cents(coalesce(sum(usd) filter (where what = 'capitalised'), 0)) as capitalised_usd,
        to_cents(coalesce(sum(usd) filter (where what = 'to_stock'), 0)) as to_stock_usd,
        to_cents(coalesce(sum(usd) filter (where what = 'written_down'), 0)) as written_down_usd,
        count(distinct job_no)::integer as kits_gone,
        to_cents(sum(usd) filter (where what = 'shrinkage')) as shrinkage_usd
    from amounts
    group by season, branch
)

select * from final
