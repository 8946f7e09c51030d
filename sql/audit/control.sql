-- audit.control: one row a season, branch and part of cost, with every dollar read and where it went
-- read = on jobs directly + spread over jobs + outside (other work, goods carried to later seasons) + refused (rejected
-- or held). What was read is summed from the records themselves: hours at their loaded cost and pay, movements of goods
-- at list price and this season's shares of leased goods, miles at the rate of the day, equipment and overheads as
-- written.
-- Hours and miles of no branch are read for the branch that bears them.
-- Where it went is summed from the jobs' exact parts. A branch of `all` holds amounts of no one branch.
-- The difference is 0.00 or the season is not loaded; dust under a thousandth of a cent is rounding inside.
-- columns:
--   season: season
--   branch: branch that the amount was read for; all: no one branch
--   part: labor, materials, travel, equipment, service or overhead
--   read_usd: read
--   on_jobs_usd: on jobs directly
--   spread_usd: spread over jobs
--   outside_usd: outside the jobs: other work, goods carried to later seasons
--   refused_usd: in rejected or held rows
--   difference_usd: read less all of these
with hour_costs as (
    select * from facts.hour_costs
),

refused_hours as (
    select * from refused.hours
    where place = 'rejected'
),

wages as (
    select * from staging.wages
),

pay as (
    select * from records.pay
),

refused_pay as (
    select * from refused.pay
),

moved as (
    select * from facts.goods_moved
),

goods as (
    select * from facts.goods_costs
),

purchases as (
    select * from records.purchases
),

record_tables as (
    select * from audit.record_tables
),

travel as (
    select * from facts.travel_costs
),

equipment as (
    select * from records.equipment
),

refused_equipment as (
    select * from refused.equipment
),

overheads as (
    select * from records.overheads
),

refused_overheads as (
    select * from refused.overheads
),

direct as (
    select * from facts.direct_costs
),

pools as (
    select * from facts.pools
),

rejected_hours as (
    select
        refused_hours.season,
        refused_hours.branch,
        coalesce(refused_hours.hours * wages.hourly_wage, 0) as usd
    from refused_hours
    asof left join wages
        on
            refused_hours.season = wages.season
            and refused_hours.worker_no = wages.worker_no
            and refused_hours.work_date >= wages.from_date
),

read_amounts as (
    select
        season,
        branch,
        case when destination = 'service' then 'service' else 'labor' end as part,
        loaded_usd as usd
    from hour_costs
    union all
    select
        season,
        branch,
        'labor' as part,
        usd
    from rejected_hours
    union all
    select
        season,
        branch,
        'labor' as part,
        amount as usd
    from pay
    where kind = 'subcontract'
    union all
    select
        season,
        branch,
        'labor' as part,
        amount as usd
    from refused_pay
    union all
    select
        season,
        branch,
        case when is_service then 'service' else 'materials' end as part,
        net_usd as usd
    from moved
    union all
    select
        season,
        branch,
        'materials' as part,
        lease_usd as usd
    from goods
    union all
    select
        purchases.season,
        purchases.branch,
        'materials' as part,
        purchases.paid + coalesce(purchases.freight, 0) as usd
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
        part,
        travel_usd as usd
    from travel
    union all
    select
        season,
        branch,
        'equipment' as part,
        amount as usd
    from equipment
    union all
    select
        season,
        branch,
        'equipment' as part,
        amount as usd
    from refused_equipment
    union all
    select
        season,
        branch,
        'overhead' as part,
        amount as usd
    from overheads
    union all
    select
        season,
        branch,
        'overhead' as part,
        amount as usd
    from refused_overheads
),

placed_amounts as (
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
    where destination = 'outside'
    union all
    select
        season,
        branch,
        'labor' as part,
        'refused' as place,
        loaded_usd as usd
    from hour_costs
    where destination = 'held'
    union all
    select
        season,
        branch,
        'labor' as part,
        'refused' as place,
        usd
    from rejected_hours
    union all
    select
        season,
        branch,
        'labor' as part,
        'refused' as place,
        amount as usd
    from refused_pay
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
        'refused' as place,
        net_usd as usd
    from moved
    where place <> 'accepted'
    union all
    select
        season,
        branch,
        'equipment' as part,
        'refused' as place,
        amount as usd
    from refused_equipment
    union all
    select
        season,
        branch,
        'overhead' as part,
        'refused' as place,
        amount as usd
    from refused_overheads
),

read_sums as (
    select
        season,
        coalesce(branch, 'all') as branch,
        part,
        coalesce(sum(usd), 0)::decimal(38, 12) as read_usd
    from read_amounts
    group by season, coalesce(branch, 'all'), part
),

placed_sums as (
    select
        season,
        coalesce(branch, 'all') as branch,
        part,
        coalesce(sum(case when place = 'on_jobs' then usd end), 0)::decimal(38, 12) as on_jobs_usd,
        coalesce(sum(case when place = 'spread' then usd end), 0)::decimal(38, 12) as spread_usd,
        coalesce(sum(case when place = 'outside' then usd end), 0)::decimal(38, 12) as outside_usd,
        coalesce(sum(case when place = 'refused' then usd end), 0)::decimal(38, 12) as refused_usd
    from placed_amounts
    group by season, coalesce(branch, 'all'), part
),

exact as (
    select
        season,
        branch,
        part,
        coalesce(read_sums.read_usd, 0) as read_exact,
        coalesce(placed_sums.on_jobs_usd, 0) as on_jobs_exact,
        coalesce(placed_sums.spread_usd, 0) as spread_exact,
        coalesce(placed_sums.outside_usd, 0) as outside_exact,
        coalesce(placed_sums.refused_usd, 0) as refused_exact
    from read_sums
    full join placed_sums using (season, branch, part)
),

compared as (
    select
        *,
        read_exact - on_jobs_exact - spread_exact - outside_exact - refused_exact as difference_exact
    from exact
),

rounded as (
    select
        season,
        branch,
        part,
        to_cents(read_exact) as read_usd,
        to_cents(on_jobs_exact) as on_jobs_rounded,
        to_cents(spread_exact) as spread_usd,
        to_cents(outside_exact) as outside_usd,
        to_cents(refused_exact) as refused_usd,
        case
            when abs(difference_exact) < 0.00001 then 0
            else sign(difference_exact) * greatest(0.01, abs(round(difference_exact, 2)))
        end::decimal(18, 2) as difference_usd
    from compared
),

-- Rounding four columns can leave a cent or two over; it is shown with the largest column, on the jobs.
final as (
    select
        season,
        branch,
        part,
        read_usd,
        (read_usd - difference_usd - spread_usd - outside_usd - refused_usd)::decimal(18, 2) as on_jobs_usd,
        spread_usd,
        outside_usd,
        refused_usd,
        difference_usd
    from rounded
)

select * from final
