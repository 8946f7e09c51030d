-- measures.cash_months: one row a season that handed in receipts and month of it, June to May, for the whole firm.
-- When money came in and went out. Pay lies in the month in which its workweek ends, with the employer's burden; the
-- owner's own hours are no pay. Overheads have no dates and lie evenly over the twelve months. Miles are at the mile
-- rate, which holds wear besides fuel. A day before June or after May lies in the season's first or last month.
-- Inputs: records.receipts, records.purchases, records.equipment, records.pay, records.overheads, facts.loaded_hours,
-- facts.travel_costs (usd), staging.handed_in. Loans, taxes on income, sales tax and drawings are in no record.
-- columns:
--   season: year in which the season starts
--   month: first day of the month
--   received_usd: deposits and balances less refunds and card fees
--   pay_usd: pay and burden of employees, and what subcontractors were paid; null where no hours were handed in
--   goods_usd: purchases with freight; null where no purchases were handed in
--   road_usd: miles at the mile rate, and equipment
--   overhead_usd: a twelfth of the season's overheads
--   net_usd: received less all that is known to have gone out
--   running_usd: sum of net_usd from June on

with receipts as (
    select * from records.receipts
),

purchases as (
    select * from records.purchases
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

loaded_hours as (
    select * from facts.loaded_hours
),

travel_costs as (
    select * from facts.travel_costs
),

handed_in as (
    select * from staging.handed_in
),

moves as (
    select
        season,
        received as day,
        'received' as what,
        case when kind in ('refund', 'fee') then -amount else amount end as usd
    from receipts
    union all
    select
        season,
        week_start + interval 6 day as day,
        'pay' as what,
        loaded_usd as usd
    from loaded_hours
    where engaged <> 'owner'
    union all
    select
        season,
        to_date as day,
        'pay' as what,
        amount as usd
    from pay
    where kind = 'subcontract'
    union all
    select
        season,
        bought_date as day,
        'goods' as what,
        paid + coalesce(freight, 0) as usd
    from purchases
    union all
    select
        season,
        work_date as day,
        'road' as what,
        travel_usd as usd
    from travel_costs
    union all
    select
        season,
        use_date as day,
        'road' as what,
        amount as usd
    from equipment
),

by_month as (
    select
        season,
        least(greatest(date_diff('month', make_date(season, 6, 1), day::date), 0), 11) as place,
        what,
        sum(usd) as usd
    from moves
    group by season, place, what
),

yearly as (
    select
        season,
        sum(amount) as overhead_usd
    from overheads
    group by season
),

known as (
    select
        season,
        bool_or(record_table = 'hours') as has_hours,
        bool_or(record_table = 'purchases') as has_purchases
    from handed_in
    group by season
    having bool_or(record_table = 'receipts')
),

months as (
    select
        known.*,
        unnest(range(12)) as place
    from known
),

filled as (
    select
        months.season,
        months.place,
        (make_date(months.season, 6, 1) + to_months(months.place::integer))::date as month,
        to_cents(coalesce(sum(by_month.usd) filter (where by_month.what = 'received'), 0)) as received_usd,
        case
            when any_value(months.has_hours)
                then to_cents(coalesce(sum(by_month.usd) filter (where by_month.what = 'pay'), 0))
        end as pay_usd,
        case
            when any_value(months.has_purchases)
                then to_cents(coalesce(sum(by_month.usd) filter (where by_month.what = 'goods'), 0))
        end as goods_usd,
        to_cents(coalesce(sum(by_month.usd) filter (where by_month.what = 'road'), 0)) as road_usd
    from months
    left join by_month using (season, place)
    group by months.season, months.place
),

with_overheads as (
    select
        filled.*,
        -- The cents of the twelfths add up: each is what the months so far come to less what was there before.
        to_cents(coalesce(yearly.overhead_usd, 0) * (filled.place + 1) / 12)
        - to_cents(coalesce(yearly.overhead_usd, 0) * filled.place / 12) as overhead_usd
    from filled
    left join yearly using (season)
),

netted as (
    select
        *,
        received_usd - coalesce(pay_usd, 0) - coalesce(goods_usd, 0) - road_usd - overhead_usd as net_usd
    from with_overheads
),

final as (
    select
        season,
        month,
        received_usd,
        pay_usd,
        goods_usd,
        road_usd,
        overhead_usd::decimal(18, 2) as overhead_usd,
        net_usd::decimal(18, 2) as net_usd,
        (sum(net_usd) over (partition by season order by month))::decimal(18, 2) as running_usd
    from netted
)

select * from final
