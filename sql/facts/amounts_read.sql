-- facts.amounts_read: one row an amount that was read in, before anything is shared out or rounded
-- What "read" means, part by part, for accepted rows:
--   labor and service hours: straight pay, extra pay as written, overtime premium by worker and week, burden, as
--     facts.labor_read has them; labor also bears subcontract pay as written;
--   goods: movements at cost and this season's shares of leased goods, as facts.goods_read has them;
--   travel and service miles: trips as written, else drive miles, as facts.miles_read has them;
--   equipment and overhead: as written.
-- A week's pay and a trip cross branches. They are read in the branch of their hours and jobs; what those leave of the
-- whole is read for no one branch. It must be nothing: money that was lost on the way, or made up, shows up there.
-- Refused rows are read as far as they can be: hours at their wage, held hours at their full cost, the rest as written.
-- Inputs: records and refused rows; money in usd, exact.
-- Built as a view: the control alone reads it, and sums it up.
-- columns:
--   season: season
--   branch: branch that the amount was read for; null: no one branch
--   part: labor, materials, travel, equipment, service or overhead
--   is_refused: whether the row was rejected or held
--   usd: amount
with hour_costs as (
    select * from facts.hour_costs
),

labor_read as (
    select * from facts.labor_read
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
    where kind = 'subcontract'
),

refused_pay as (
    select * from refused.pay
),

goods_read as (
    select * from facts.goods_read
),

travel as (
    select * from facts.travel_costs
    where travel_usd is not null
),

miles_read as (
    select * from facts.miles_read
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

rejected_hours as (
    select
        refused_hours.season,
        refused_hours.branch,
        (refused_hours.hours * wages.hourly_wage)::decimal(38, 12) as usd
    from refused_hours
    asof left join wages
        on
            refused_hours.season = wages.season
            and refused_hours.worker_no = wages.worker_no
            and refused_hours.work_date >= wages.from_date
),

amounts as (
    select
        season,
        branch,
        case when destination = 'service' then 'service' else 'labor' end as part,
        destination = 'held' as is_refused,
        loaded_usd as usd
    from hour_costs
    union all
    select
        season,
        null as branch,
        'labor' as part,
        false as is_refused,
        loaded_usd as usd
    from labor_read
    union all
    select
        season,
        null as branch,
        'labor' as part,
        false as is_refused,
        -loaded_usd as usd
    from hour_costs
    union all
    select
        season,
        branch,
        'labor' as part,
        true as is_refused,
        usd
    from rejected_hours
    union all
    select
        season,
        branch,
        'labor' as part,
        false as is_refused,
        amount as usd
    from pay
    union all
    select
        season,
        branch,
        'labor' as part,
        true as is_refused,
        amount as usd
    from refused_pay
    union all
    select
        season,
        branch,
        part,
        place = 'refused' as is_refused,
        read_usd as usd
    from goods_read
    union all
    select
        season,
        branch,
        part,
        false as is_refused,
        travel_usd as usd
    from travel
    union all
    select
        season,
        null as branch,
        'travel' as part,
        place = 'refused' as is_refused,
        read_usd as usd
    from miles_read
    union all
    select
        season,
        null as branch,
        'travel' as part,
        false as is_refused,
        -travel_usd as usd
    from travel
    union all
    select
        season,
        branch,
        'equipment' as part,
        false as is_refused,
        amount as usd
    from equipment
    union all
    select
        season,
        branch,
        'equipment' as part,
        true as is_refused,
        amount as usd
    from refused_equipment
    union all
    select
        season,
        branch,
        'overhead' as part,
        false as is_refused,
        amount as usd
    from overheads
    union all
    select
        season,
        branch,
        'overhead' as part,
        true as is_refused,
        amount as usd
    from refused_overheads
),

final as (
    select
        season,
        branch,
        part,
        is_refused,
        usd::decimal(38, 12) as usd
    from amounts
    where usd is not null
)

select * from final
