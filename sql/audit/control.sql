-- audit.control: one row a season, branch and part of cost, with every dollar read and where it went
-- read = on jobs directly + spread over jobs + outside (other work, goods carried to later seasons, shrinkage, leased
-- kits that did not return) + refused (rejected or held). What was read is reached from the records, apart from the way
-- by which the jobs get their cost; what it means for each part is said at facts.amounts_read. Where it went is what
-- facts.direct_costs, facts.pools and the places outside the jobs hold; that the pools then reach the jobs' cents whole
-- is the check parts_add_up_over_jobs.
-- A branch of `all` holds amounts of no one branch. Leased goods: what is issued and built is read and put outside, to
-- be carried; this season's share of what stands is read and put on the job.
-- In cents: what is on jobs and spread is rounded by largest remainder over the branches (ties by branch), so that over
-- them it is what the jobs' cents add up to; what was read is the sum of its row, within two cents of the exact sum.
-- The difference is 0.00 or the season is not loaded. It is told before anything is rounded; under a twentieth of a
-- cent in a season it is the dust of exact division at 12 decimals.
-- columns:
--   season: season
--   branch: branch that the amount was read for; all: no one branch
--   part: labor, materials, travel, equipment, service or overhead
--   read_usd: read
--   on_jobs_usd: on jobs directly
--   spread_usd: spread over jobs
--   outside_usd: outside the jobs: other work, goods carried to later seasons, shrinkage, kits that did not return
--   refused_usd: in rejected or held rows
--   difference_usd: read less all of these
with amounts_read as (
    select * from facts.amounts_read
),

hour_costs as (
    select * from facts.hour_costs
    where destination = 'outside'
),

goods as (
    select * from facts.goods_costs
),

shrinkage as (
    select * from measures.shrinkage
),

write_downs as (
    select * from measures.leased_write_downs
),

direct as (
    select * from facts.direct_costs
),

pools as (
    select * from facts.pools
),

amounts as (
    select
        season,
        branch,
        part,
        'read' as place,
        usd
    from amounts_read
    union all
    select
        season,
        branch,
        part,
        'refused' as place,
        usd
    from amounts_read
    where is_refused
    union all
    select
        season,
        branch,
        part,
        'on_jobs' as place,
        direct_usd as usd
    from direct
    union all
    select
        season,
        branch,
        part,
        'spread' as place,
        pool_usd as usd
    from pools
    union all
    select
        season,
        branch,
        'labor' as part,
        'outside' as place,
        loaded_usd as usd
    from hour_costs
    union all
    select
        season,
        branch,
        'materials' as part,
        'outside' as place,
        capitalised_usd as usd
    from goods
    union all
    select
        season,
        branch,
        'materials' as part,
        'outside' as place,
        shrinkage_usd as usd
    from shrinkage
    union all
    select
        season,
        branch,
        'materials' as part,
        'outside' as place,
        to_stock_usd + written_down_usd as usd
    from write_downs
),

sums as (
    select
        season,
        coalesce(branch, 'all') as branch,
        part,
        coalesce(sum(usd) filter (where place = 'read'), 0)::decimal(38, 12) as read_exact,
        coalesce(sum(usd) filter (where place = 'on_jobs'), 0)::decimal(38, 12) as on_jobs_exact,
        coalesce(sum(usd) filter (where place = 'spread'), 0)::decimal(38, 12) as spread_exact,
        coalesce(sum(usd) filter (where place = 'outside'), 0)::decimal(38, 12) as outside_exact,
        coalesce(sum(usd) filter (where place = 'refused'), 0)::decimal(38, 12) as refused_exact
    from amounts
    group by season, coalesce(branch, 'all'), part
),

-- A row of dust alone says nothing; it stays out.
compared as (
    select
        *,
        read_exact - on_jobs_exact - spread_exact - outside_exact - refused_exact as difference_exact
    from sums
    where
        greatest(abs(read_exact), abs(on_jobs_exact), abs(spread_exact), abs(outside_exact), abs(refused_exact))
        >= 0.0005
),

cents as (
    select
        *,
        (on_jobs_exact + spread_exact)::decimal(38, 12) as placed_exact,
        round(on_jobs_exact + spread_exact, 9)::decimal(38, 9) as clean_usd,
        floor(round(on_jobs_exact + spread_exact, 9)::decimal(38, 9) * 100)::hugeint as floor_cents
    from compared
),

remainders as (
    select
        *,
        (to_cents(sum(placed_exact) over (partition by season, part)) * 100)::hugeint
        - sum(floor_cents) over (partition by season, part) as cents_to_place,
        row_number() over (
            partition by season, part order by clean_usd * 100 - floor_cents desc, branch asc
        ) as place
    from cents
),

rounded as (
    select
        season,
        branch,
        part,
        on_jobs_exact,
        spread_exact,
        ((floor_cents + case when place <= cents_to_place then 1 else 0 end)::decimal(36, 0) * 0.01)::decimal(18, 2)
            as placed_usd,
        to_cents(outside_exact) as outside_usd,
        to_cents(refused_exact) as refused_usd,
        case
            when abs(difference_exact) < 0.0005 then 0
            else sign(difference_exact) * greatest(0.01, abs(round(difference_exact, 2)))
        end::decimal(18, 2) as difference_usd
    from remainders
),

parted as (
    select
        *,
        case when abs(on_jobs_exact) < 0.0005 then placed_usd else to_cents(spread_exact) end::decimal(18, 2)
            as spread_usd
    from rounded
),

final as (
    select
        season,
        branch,
        part,
        (placed_usd + outside_usd + refused_usd + difference_usd)::decimal(18, 2) as read_usd,
        (placed_usd - spread_usd)::decimal(18, 2) as on_jobs_usd,
        spread_usd,
        outside_usd,
        refused_usd,
        difference_usd
    from parted
)

select * from final
