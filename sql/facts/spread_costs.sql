-- facts.spread_costs: one row a job and part of cost, with its share of the amounts that no single job bears
-- Which jobs bear an amount, and by what, is facts.pool_weights. The dust that whole-number division leaves, under a
-- billionth of a dollar a share, goes to the job with the largest basis, so that the shares add up exactly.
-- Built for the run alone: facts.job_parts holds it, with the jobs' own costs.
-- columns:
--   season: season
--   branch: branch
--   branch_set: branches closed together
--   job_no: job
--   part: labor, materials, travel, equipment or overhead
--   spread_usd: share, exact
--   owner_usd: of that, the owner's own hours
with pools as (
    select * from facts.pool_weights
),

weights as (
    select * from staging.job_weights
),

shares as (
    select
        pools.pool,
        pools.part,
        pools.pool_usd,
        pools.owner_usd,
        pools.total_weight,
        weights.season,
        weights.branch,
        weights.branch_set,
        weights.job_no,
        basis_weight(pools.used_basis, weights.direct_hours, weights.feet, weights.revenue) as weight
    from pools
    inner join weights
        on
            pools.season = weights.season
            and pools.branch_set = weights.branch_set
            and (pools.bearing_branch is null or pools.bearing_branch = weights.branch)
),

divided as (
    select
        *,
        mul_div(pool_usd, weight, total_weight) as share_usd,
        mul_div(owner_usd, weight, total_weight) as owner_share_usd
    from shares
),

heaviest as (
    select
        pool,
        min_by((branch, job_no), (-weight, branch, job_no)) as job,
        (any_value(pool_usd) - sum(share_usd))::decimal(38, 12) as dust_usd
    from divided
    group by pool
),

completed as (
    select
        divided.*,
        case when heaviest.job = (divided.branch, divided.job_no) then heaviest.dust_usd else 0 end as dust_usd
    from divided
    inner join heaviest on divided.pool = heaviest.pool
),

final as (
    select
        season,
        branch,
        branch_set,
        job_no,
        part,
        sum(share_usd + dust_usd)::decimal(38, 12) as spread_usd,
        sum(owner_share_usd)::decimal(38, 12) as owner_usd
    from completed
    group by season, branch, branch_set, job_no, part
)

select * from final
