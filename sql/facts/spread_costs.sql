-- facts.spread_costs: one row a job and part of cost, with its share of the amounts that no single job bears
-- An amount of a branch that has no accepted jobs is borne by all. Where a basis is 0 over all the jobs that would
-- bear an amount, feet stand in for it, and jobs for feet. The dust that whole-number division leaves, under a
-- billionth of a dollar a share, goes to the job with the largest basis, so that the shares add up exactly.
-- columns:
--   season: season
--   branch: branch
--   branch_set: branches closed together
--   job_no: job
--   part: labor, materials, travel, equipment or overhead
--   spread_usd: share, exact
--   owner_usd: of that, the owner's own hours
with pools as (
    select
        *,
        row_number() over (order by season, branch_set, branch, part, basis, behaves) as pool
    from facts.pools
),

weights as (
    select * from staging.job_weights
),

branches as (
    select distinct
        season,
        branch_set,
        branch
    from weights
),

placed as (
    select
        pools.*,
        branches.branch as bearing_branch
    from pools
    left join branches using (season, branch_set, branch)
),

shares as (
    select
        placed.pool,
        placed.part,
        placed.pool_usd,
        placed.owner_usd,
        weights.season,
        weights.branch,
        weights.branch_set,
        weights.job_no,
        case placed.basis
            when 'hours' then weights.direct_hours
            when 'feet' then coalesce(weights.feet, 0)
            when 'revenue' then weights.revenue
            else 1
        end::decimal(26, 12) as own_weight,
        coalesce(weights.feet, 0) as feet
    from placed
    inner join weights
        on
            placed.season = weights.season
            and placed.branch_set = weights.branch_set
            and (placed.bearing_branch is null or placed.bearing_branch = weights.branch)
),

weighted as (
    select
        *,
        case
            when sum(own_weight) over (partition by pool) > 0 then own_weight
            when sum(feet) over (partition by pool) > 0 then feet
            else 1
        end::decimal(26, 12) as weight
    from shares
),

divided as (
    select
        *,
        mul_div(pool_usd, weight, sum(weight) over (partition by pool)) as share_usd,
        mul_div(owner_usd, weight, sum(weight) over (partition by pool)) as owner_share_usd,
        row_number() over (partition by pool order by weight desc, branch asc, job_no asc) as place
    from weighted
),

completed as (
    select
        *,
        case when place = 1 then pool_usd - sum(share_usd) over (partition by pool) else 0 end as dust_usd
    from divided
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
