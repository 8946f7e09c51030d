-- audit.control: one row a season, branch and part of cost, with every dollar read and where it went
-- read = on jobs directly + spread over jobs + outside (other work, goods carried to later seasons, shrinkage, leased
-- kits that did not return) + refused (rejected or held). What was read is reached from the records, apart from the way
-- by which the jobs get their cost; what it means for each part is said at facts.amounts_read. Where it went is what
-- facts.direct_costs, facts.pools and the places outside the jobs hold; that the pools then reach the jobs' cents whole
-- is the check parts_add_up_over_jobs.
-- A branch of `all` holds amounts of no one branch. Leased goods: what is issued and built is read and put outside, to
-- be carried; this season's share of what stands is read and put on the job.
-- What stands in a new leased job and was not issued to it is read as well, since it is carried whole.
-- In cents every cell is within a cent of its exact value, and the totals agree. On jobs and spread together are
-- rounded by largest remainder over the branches (ties by branch), so that over them they are what the jobs' cents add
-- up to. Outside and refused together are rounded to the nearest cent that leaves the row's sum within a cent of what
-- was read. Each pair is then parted by largest remainder (ties to the first of the two).
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
        round(on_jobs_exact, 9)::decimal(38, 9) * 100 as on_jobs_cents,
        round(on_jobs_exact, 9)::decimal(38, 9) * 100 + round(spread_exact, 9)::decimal(38, 9) * 100 as placed_cents,
        round(outside_exact, 9)::decimal(38, 9) * 100 as outside_cents,
        round(outside_exact, 9)::decimal(38, 9) * 100 + round(refused_exact, 9)::decimal(38, 9) * 100 as rest_cents
    from compared
),

floors as (
    select
        *,
        floor(on_jobs_cents)::hugeint as on_jobs_floor,
        floor(placed_cents - on_jobs_cents)::hugeint as spread_floor,
        floor(placed_cents)::hugeint as placed_floor,
        floor(outside_cents)::hugeint as outside_floor,
        floor(rest_cents - outside_cents)::hugeint as refused_floor,
        floor(rest_cents)::hugeint as rest_floor
    from cents
),

remainders as (
    select
        *,
        placed_cents - placed_floor as placed_over,
        rest_cents - rest_floor as rest_over,
        (to_cents(sum(on_jobs_exact + spread_exact) over (partition by season, part)) * 100)::hugeint
        - sum(placed_floor) over (partition by season, part) as cents_to_place
    from floors
),

ranked as (
    select
        *,
        case
            when
                row_number() over (partition by season, part order by placed_over desc, branch asc) <= cents_to_place
                then 1
            else 0
        end as placed_up
    from remainders
),

rounded as (
    select
        *,
        placed_floor + placed_up as placed,
        rest_floor + case
            when rest_over = 0 or (placed_up = 1 and placed_over + rest_over <= 1) then 0
            when (placed_up = 0 and placed_over + rest_over >= 1) or rest_over >= 0.5 then 1
            else 0
        end as rest
    from ranked
),

parted as (
    select
        *,
        on_jobs_floor + case placed - on_jobs_floor - spread_floor
            when 0 then 0
            when 1 then (on_jobs_cents - on_jobs_floor >= placed_cents - on_jobs_cents - spread_floor)::integer
            else 1
        end as on_jobs,
        outside_floor + case rest - outside_floor - refused_floor
            when 0 then 0
            when 1 then (outside_cents - outside_floor >= rest_cents - outside_cents - refused_floor)::integer
            else 1
        end as outside
    from rounded
),

in_usd as (
    select
        season,
        branch,
        part,
        (on_jobs::decimal(36, 0) * 0.01)::decimal(18, 2) as on_jobs_usd,
        ((placed - on_jobs)::decimal(36, 0) * 0.01)::decimal(18, 2) as spread_usd,
        (outside::decimal(36, 0) * 0.01)::decimal(18, 2) as outside_usd,
        ((rest - outside)::decimal(36, 0) * 0.01)::decimal(18, 2) as refused_usd,
        case
            when abs(difference_exact) < 0.0005 then 0
            else sign(difference_exact) * greatest(0.01, abs(round(difference_exact, 2)))
        end::decimal(18, 2) as difference_usd
    from parted
),

final as (
    select
        season,
        branch,
        part,
        (on_jobs_usd + spread_usd + outside_usd + refused_usd + difference_usd)::decimal(18, 2) as read_usd,
        on_jobs_usd,
        spread_usd,
        outside_usd,
        refused_usd,
        difference_usd
    from in_usd
)

select * from final
