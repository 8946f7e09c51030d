-- measures.missing_costs: one row a season and thing that is missing from its costs, with what it would change
-- Estimates, in no figure of cost. A rate that was not given stands as what one step of it would add: state
-- unemployment for each 1 % of pay, at least on what each employee earned in the calendar year under the federal base
-- (mem.: states keep theirs at that of 26 U.S.C. 3306(b)(1) or above; ask the state) and at most on all pay; workers'
-- compensation for each 1 % of the role's pay without the overtime premium; the owner's hours for each 10 usd an hour;
-- goods that no stock count can miss, for each 1 % of what was issued and not returned. The rest is taken as the firm's
-- own median: hours without a wage at the median loaded hour, an item without a price at the median unit cost of its
-- kind, for leased goods over their life, jobs without miles at the median of the other jobs' travel, jobs without
-- hours at the median labor a foot of jobs that have theirs. Where the firm has no such median the amounts are null.
-- Inputs: facts.loaded_hours (h, usd), facts.worker_taxes, staging.burden_rules (usd), facts.goods_moved,
-- facts.unit_costs (usd a unit), measures.job_cost (usd, ft), measures.shrinkage, staging.firm_settings.
-- columns:
--   season: season
--   thing: state_unemployment, compensation, owner_wage, wage, price, miles, hours or stock_counts
--   about: role or item; null: neither
--   quantity: how much of it is missing
--   unit: usd, h, ft, jobs or the item's unit
--   low_usd: what it, or one step of it, would add to the season's cost at least; an estimate
--   high_usd: the same at most; an estimate
--   feet: feet of the season's jobs
--   low_usd_per_ft: low / feet
--   high_usd_per_ft: high / feet
with hours as (
    select * from facts.loaded_hours
    where destination in ('labor', 'service', 'indirect')
),

taxes as (
    select * from facts.worker_taxes
),

rules as (
    select * from staging.burden_rules
),

moved as (
    select * from facts.goods_moved
    where place = 'accepted' and moved <> 'scrapped'
),

unit_costs as (
    select * from facts.unit_costs
),

listed as (
    select * from records.items
),

runs as (
    select * from records.runs
),

jobs as (
    select * from measures.job_cost
),

shrinkage as (
    select * from measures.shrinkage
),

firm as (
    select * from staging.firm_settings
),

season_feet as (
    select
        season,
        sum(feet)::double as feet
    from jobs
    group by season
),

unemployment as (
    select
        taxes.season,
        'state_unemployment' as thing,
        null::varchar as about,
        sum(taxes.taxable_usd)::double as quantity,
        'usd' as unit,
        0.01 * sum(
            case
                when taxes.year_taxable_usd > 0
                    then
                        pay_under_base(
                            taxes.before_usd, taxes.before_usd + taxes.year_taxable_usd, rules.futa_base_usd
                        )::double
                        * taxes.taxable_usd::double
                        / taxes.year_taxable_usd::double
                else 0
            end
        ) as low_usd,
        0.01 * sum(taxes.taxable_usd)::double as high_usd
    from taxes
    inner join firm using (season)
    inner join rules using (season, year)
    where not firm.has_state_unemployment
    group by taxes.season
),

compensation as (
    select
        season,
        'compensation' as thing,
        role as about,
        sum(coalesce(straight_usd, 0) + coalesce(extra_pay_usd, 0))::double as quantity,
        'usd' as unit,
        0.01 * quantity as low_usd,
        0.01 * quantity as high_usd
    from hours
    where engaged = 'employee' and compensation_rate is null
    group by season, role
    having quantity > 0
),

owner as (
    select
        hours.season,
        'owner_wage' as thing,
        null::varchar as about,
        sum(hours.hours)::double as quantity,
        'h' as unit,
        10 * quantity as low_usd,
        10 * quantity as high_usd
    from hours
    inner join firm using (season)
    where hours.engaged = 'owner' and firm.owner_wage is null
    group by hours.season
),

median_hours as (
    select
        season,
        median(loaded_usd::double / hours::double) as usd
    from hours
    where engaged = 'employee' and straight_usd is not null and hours > 0
    group by season
),

wages as (
    select
        hours.season,
        'wage' as thing,
        null::varchar as about,
        sum(hours.hours)::double as quantity,
        'h' as unit,
        sum(hours.hours)::double * any_value(median_hours.usd) as low_usd,
        sum(hours.hours)::double * any_value(median_hours.usd) as high_usd
    from hours
    left join median_hours using (season)
    where hours.engaged = 'employee' and hours.loaded_usd is null
    group by hours.season
),

median_prices as (
    select
        season,
        kind,
        median(cost_usd::double / cost_quantity::double) as usd
    from unit_costs
    where cost_usd is not null and cost_quantity > 0
    group by season, kind
),

-- What an item without a price is: as another season lists it, else as the runs use it.
told as (
    select
        item_no,
        kind,
        unit,
        -season as place
    from listed
    union all
    select
        line_item as item_no,
        'light_line' as kind,
        'ft' as unit,
        1 as place
    from runs
    union all
    select
        bulb_item as item_no,
        'bulb' as kind,
        'each' as unit,
        2 as place
    from runs
    union all
    select
        fastener_item as item_no,
        'fastener' as kind,
        'each' as unit,
        3 as place
    from runs
),

items as (
    select
        item_no,
        arg_min(kind, (place, kind)) as kind,
        arg_min(unit, (place, kind)) as unit
    from told
    group by item_no
),

prices as (
    select
        moved.season,
        'price' as thing,
        moved.item_no as about,
        sum(moved.net_quantity)::double as quantity,
        any_value(items.unit) as unit,
        sum(moved.net_quantity)::double * any_value(median_prices.usd) as low_usd,
        sum(moved.net_quantity)::double * any_value(median_prices.usd) as high_usd
    from moved
    left join items using (item_no)
    left join median_prices on moved.season = median_prices.season and items.kind = median_prices.kind
    where moved.net_usd is null
    group by moved.season, moved.item_no
    having sum(moved.net_quantity) > 0
),

median_travel as (
    select
        season,
        median(travel_usd::double) as usd
    from jobs
    where travel_usd is not null
    group by season
),

miles as (
    select
        jobs.season,
        'miles' as thing,
        null::varchar as about,
        count(*)::double as quantity,
        'jobs' as unit,
        quantity * any_value(median_travel.usd) as low_usd,
        quantity * any_value(median_travel.usd) as high_usd
    from jobs
    left join median_travel using (season)
    where jobs.travel_usd is null
    group by jobs.season
),

median_labor as (
    select
        season,
        median(labor_usd::double / feet::double) as usd
    from jobs
    where has_own_hours and feet > 0 and labor_usd > 0
    group by season
),

labor as (
    select
        jobs.season,
        'hours' as thing,
        null::varchar as about,
        sum(jobs.feet)::double as quantity,
        'ft' as unit,
        quantity * any_value(median_labor.usd) as low_usd,
        quantity * any_value(median_labor.usd) as high_usd
    from jobs
    inner join median_labor using (season)
    where not jobs.has_own_hours and jobs.feet > 0
    group by jobs.season
),

counts as (
    select
        moved.season,
        'stock_counts' as thing,
        null::varchar as about,
        sum(moved.net_usd)::double as quantity,
        'usd' as unit,
        0.01 * sum(moved.net_usd)::double as low_usd,
        0.01 * sum(moved.net_usd)::double as high_usd
    from moved
    anti join shrinkage using (season)
    group by moved.season
    having sum(moved.net_usd) > 0
),

things as (
    select * from unemployment
    union all
    select * from compensation
    union all
    select * from owner
    union all
    select * from wages
    union all
    select * from prices
    union all
    select * from miles
    union all
    select * from labor
    union all
    select * from counts
),

final as (
    select
        things.season,
        things.thing,
        things.about,
        things.quantity,
        things.unit,
        things.low_usd,
        things.high_usd,
        season_feet.feet,
        things.low_usd / nullif(season_feet.feet, 0) as low_usd_per_ft,
        things.high_usd / nullif(season_feet.feet, 0) as high_usd_per_ft
    from things
    inner join season_feet using (season)
)

select * from final
