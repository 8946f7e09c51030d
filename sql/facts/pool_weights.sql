-- facts.pool_weights: one row an amount that no single job bears, with the jobs that bear it and what it goes by
-- An amount of a branch that has no accepted jobs is borne by all. Where a basis is 0 over all the jobs that would
-- bear an amount, feet stand in for it, and jobs for feet.
-- Inputs: facts.pools (usd), staging.job_weights (ft, h, usd).
-- columns:
--   pool: number of the amount
--   season: season
--   branch_set: branches closed together
--   branch: branch that the amount was written for; null: none
--   bearing_branch: branch whose jobs bear it; null: all
--   part: labor, materials, travel, equipment or overhead
--   basis: hours, feet, revenue or jobs, as it should be
--   used_basis: the same as it is
--   behaves: fixed or variable
--   pool_usd: amount, exact
--   owner_usd: of that, the owner's own hours
--   jobs: jobs that bear it
--   total_weight: their basis summed
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
    select
        season,
        branch_set,
        branch,
        count(*) as jobs,
        sum(direct_hours)::decimal(26, 12) as hours,
        sum(coalesce(feet, 0))::decimal(26, 12) as feet,
        sum(revenue)::decimal(26, 12) as revenue
    from weights
    group by season, branch_set, branch
),

placed as (
    select
        pools.*,
        branches.branch as bearing_branch
    from pools
    left join branches using (season, branch_set, branch)
),

summed as (
    select
        placed.pool,
        sum(branches.jobs) as jobs,
        sum(branches.feet) as feet,
        sum(
            case placed.basis
                when 'hours' then branches.hours
                when 'feet' then branches.feet
                when 'revenue' then branches.revenue
                else branches.jobs
            end
        ) as own_weight
    from placed
    inner join branches
        on
            placed.season = branches.season
            and placed.branch_set = branches.branch_set
            and (placed.bearing_branch is null or placed.bearing_branch = branches.branch)
    group by placed.pool
),

chosen as (
    select
        placed.*,
        summed.jobs,
        summed.feet,
        summed.own_weight,
        case
            when summed.own_weight > 0 then placed.basis
            when summed.feet > 0 then 'feet'
            else 'jobs'
        end as used_basis
    from placed
    inner join summed on placed.pool = summed.pool
),

final as (
    select
        pool,
        season,
        branch_set,
        branch,
        bearing_branch,
        part,
        basis,
        used_basis,
        behaves,
        pool_usd,
        owner_usd,
        jobs::integer as jobs,
        case when used_basis = basis then own_weight when used_basis = 'feet' then feet else jobs end::decimal(38, 12)
            as total_weight
    from chosen
)

select * from final
