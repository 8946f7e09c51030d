-- no_hour_is_lost: a season whose accepted and held hours, or their loaded cost, are not all placed in the accounts.
with accepted as (
    select * from records.hours
),

held as (
    select * from refused.hours
    where place = 'held'
),

loaded as (
    select * from facts.loaded_hours
),

placed as (
    select * from facts.hour_costs
),

amounts as (
    select
        season,
        'read' as side,
        hours,
        0 as usd
    from accepted
    union all
    select
        season,
        'read' as side,
        hours,
        0 as usd
    from held
    union all
    select
        season,
        'read' as side,
        0 as hours,
        coalesce(loaded_usd, 0) as usd
    from loaded
    union all
    select
        season,
        'placed' as side,
        -hours as hours,
        -loaded_usd as usd
    from placed
),

final as (
    select
        season,
        'hours differ by ' || sum(hours) || ' h and ' || sum(usd) || ' usd' as why
    from amounts
    group by season
    having sum(hours) <> 0 or sum(usd) <> 0
)

select * from final
