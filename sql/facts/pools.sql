-- facts.pools: one row an amount that no single job bears, with the basis by which it is spread
-- Indirect hours, subcontract pay without a job, trips without a job, shop goods and shared equipment go by direct
-- hours; overheads by their own basis. Where no goods movements were handed in, what was bought in all is spread by
-- feet: it is all that is known. A branch of null means all branches that were closed together, and so does a branch
-- that has no accepted jobs.
-- columns:
--   season: season
--   branch: branch whose jobs bear it; null: all
--   branch_set: branches closed together
--   part: labor, materials, travel, equipment or overhead
--   basis: hours, feet, revenue or jobs
--   behaves: fixed or variable
--   pool_usd: amount, exact
--   owner_usd: of that, the owner's own hours
with hour_costs as (
    select * from facts.hour_costs
),

travel as (
    select * from facts.travel_costs
),

moved as (
    select * from facts.goods_moved
),

equipment as (
    select * from records.equipment
),

pay as (
    select * from records.pay
),

overheads as (
    select * from records.overheads
),

purchases as (
    select * from records.purchases
),

record_tables as (
    select * from audit.record_tables
),

amounts as (
    select
        season,
        branch,
        branch_set,
        'labor' as part,
        'hours' as basis,
        'variable' as behaves,
        loaded_usd as usd,
        case when engaged = 'owner' then loaded_usd else 0 end as owner_usd
    from hour_costs
    where destination = 'indirect'
    union all
    select
        season,
        branch,
        branch_set,
        'labor' as part,
        'hours' as basis,
        'variable' as behaves,
        amount as usd,
        0 as owner_usd
    from pay
    where kind = 'subcontract' and job_no is null
    union all
    select
        season,
        branch,
        branch_set,
        'travel' as part,
        'hours' as basis,
        'variable' as behaves,
        travel_usd as usd,
        0 as owner_usd
    from travel
    where job_no is null
    union all
    select
        season,
        branch,
        branch_set,
        'materials' as part,
        'hours' as basis,
        'variable' as behaves,
        net_usd as usd,
        0 as owner_usd
    from moved
    where place = 'accepted' and job_no is null
    union all
    select
        purchases.season,
        purchases.branch,
        purchases.branch_set,
        'materials' as part,
        'feet' as basis,
        'variable' as behaves,
        purchases.paid + coalesce(purchases.freight, 0) as usd,
        0 as owner_usd
    from purchases
    anti join record_tables
        on
            purchases.season = record_tables.season
            and purchases.branch_set = record_tables.branch_set
            and record_tables.record_table = 'materials'
    union all
    select
        season,
        branch,
        branch_set,
        'equipment' as part,
        'hours' as basis,
        'variable' as behaves,
        amount as usd,
        0 as owner_usd
    from equipment
    where job_no is null
    union all
    select
        season,
        branch,
        branch_set,
        'overhead' as part,
        basis,
        behaves,
        amount as usd,
        0 as owner_usd
    from overheads
),

final as (
    select
        season,
        branch,
        branch_set,
        part,
        basis,
        behaves,
        sum(usd)::decimal(38, 12) as pool_usd,
        sum(owner_usd)::decimal(38, 12) as owner_usd
    from amounts
    where usd is not null
    group by season, branch, branch_set, part, basis, behaves
)

select * from final
