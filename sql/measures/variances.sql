-- measures.variances: one row a season, part of cost, line and kind of variance, or why cost is not what it was before
-- The standard is the firm's own: quantities per foot and prices of the season before in the store. Variances add up
-- to the cent, by part and in all: those that are not volume to what the season cost less its standard cost, which is
-- the season before's cost a foot at this season's feet; with volume to the cost of this season less that of the one
-- before. Above 0 is dearer.
-- Kinds. volume: this season's feet at the season before's cost a foot, less the season before's cost. fixed_volume:
-- fixed overhead that did not grow or fall with the feet. spending: amounts without a quantity. Where there is a
-- quantity: rate (labor, travel), price (materials, service): amount - quantity x standard price; mix: what the
-- season's own shares of new and repeat, leased and sold work would have taken, less what the season before's would,
-- at standard price; efficiency (labor), usage (materials), miles (travel), points (service): the quantity beyond that,
-- at standard price. A line that the season before did not have is all quantity. records: a part that only one of the
-- two seasons kept a sheet of, which is no change of cost.
-- Inputs: measures.standard_cost, facts.cost_lines, measures.job_cost (ft by kind of work).
-- columns:
--   season: season
--   base_season: the season before it in the store, whose rates are the standard
--   part: labor, materials, travel, equipment, service or overhead
--   line: task, item, or what else the part is made of; all: volume of the whole part
--   kind: volume, fixed_volume, spending, rate, price, mix, efficiency, usage, miles, points or records
--   unit: unit of the quantities; null: none
--   quantity: of this season; null: none
--   standard_quantity: what the season before's rates allow for this season's feet and kinds of work
--   usd_per_unit: price of this season
--   standard_usd_per_unit: price of the season before
--   variance_usd: in cents; above 0 is dearer
with standard as (
    select * from measures.standard_cost
),

lines as (
    select * from facts.cost_lines
),

jobs as (
    select * from measures.job_cost
),

season_feet as (
    select
        season,
        any_value(feet) as feet
    from standard
    group by season
),

seasons_in_order as (
    select
        season,
        feet,
        lag(season) over (order by season) as base_season,
        lag(feet) over (order by season) as base_feet
    from season_feet
),

pairs as (
    select
        *,
        mul_div(1, feet, base_feet) as growth
    from seasons_in_order
    where base_season is not null
),

work_feet as (
    select
        season,
        work,
        terms,
        sum(feet) as feet
    from jobs
    where feet > 0
    group by season, work, terms
),

work_growth as (
    select
        pairs.season,
        work_feet.work,
        work_feet.terms,
        mul_div(1, work_feet.feet, before.feet) as growth,
        mul_div(1, work_feet.feet, pairs.base_feet) as share_of_base
    from pairs
    inner join work_feet using (season)
    left join work_feet as before
        on
            pairs.base_season = before.season
            and work_feet.work = before.work
            and work_feet.terms = before.terms
),

sides as (
    select
        pairs.season,
        standard.part,
        standard.line,
        standard.unit,
        standard.quantity,
        standard.amount_usd,
        null::decimal(38, 12) as base_quantity,
        null::decimal(38, 12) as base_usd
    from pairs
    inner join standard using (season)
    union all
    select
        pairs.season,
        standard.part,
        standard.line,
        standard.unit,
        null as quantity,
        null as amount_usd,
        standard.quantity as base_quantity,
        standard.amount_usd as base_usd
    from pairs
    inner join standard on pairs.base_season = standard.season
),

compared as (
    select
        season,
        part,
        line,
        max(unit) as unit,
        max(quantity) as quantity,
        coalesce(max(amount_usd), 0)::decimal(38, 12) as amount_usd,
        max(base_quantity) as base_quantity,
        coalesce(max(base_usd), 0)::decimal(38, 12) as base_usd
    from sides
    group by season, part, line
),

kept as (
    select
        pairs.season,
        standard.part,
        count(distinct standard.season) filter (where standard.is_kept) as seasons_kept
    from pairs
    inner join standard on standard.season in (pairs.season, pairs.base_season)
    group by pairs.season, standard.part
),

-- What the season before's rates by kind of work would have taken for this season's; a kind of work that it did not
-- have takes its rate over all kinds, and what no job bears alone goes by all feet.
own_quantities as (
    select
        season,
        part,
        line,
        work,
        terms,
        sum(quantity)::decimal(38, 12) as quantity
    from lines
    where quantity is not null
    group by season, part, line, work, terms
),

over_all_jobs as (
    select
        season,
        part,
        line,
        sum(quantity) filter (where work is not null)::decimal(26, 12) as quantity,
        sum(quantity) filter (where work is null)::decimal(26, 12) as shared_quantity
    from own_quantities
    group by season, part, line
),

mixed as (
    select
        pairs.season,
        over_all_jobs.part,
        over_all_jobs.line,
        sum(
            case
                when work_growth.growth is null
                    then coalesce(over_all_jobs.quantity, 0) * work_growth.share_of_base::decimal(26, 12)
                else coalesce(own_quantities.quantity, 0)::decimal(26, 12) * work_growth.growth::decimal(26, 12)
            end::decimal(38, 12)
        )
        + (coalesce(max(over_all_jobs.shared_quantity), 0) * max(pairs.growth)::decimal(26, 12))::decimal(38, 12)
            as mixed_quantity
    from pairs
    inner join over_all_jobs on pairs.base_season = over_all_jobs.season
    inner join work_growth on pairs.season = work_growth.season
    left join own_quantities
        on
            pairs.base_season = own_quantities.season
            and over_all_jobs.part = own_quantities.part
            and over_all_jobs.line = own_quantities.line
            and work_growth.work = own_quantities.work
            and work_growth.terms = own_quantities.terms
    group by pairs.season, over_all_jobs.part, over_all_jobs.line
),

priced as (
    select
        compared.*,
        pairs.base_season,
        kept.seasons_kept,
        (compared.base_usd::decimal(26, 12) * pairs.growth::decimal(26, 12))::decimal(38, 12) as standard_usd,
        case
            when kept.seasons_kept < 2 or (compared.quantity is null and compared.amount_usd <> 0) then null
            when compared.base_quantity <> 0 then mul_div(1, compared.base_usd, compared.base_quantity)
            when compared.base_usd = 0 then mul_div(1, compared.amount_usd, compared.quantity)
        end as price,
        case when compared.base_quantity <> 0 then mixed.mixed_quantity else 0 end::decimal(26, 12) as mixed_quantity,
        pairs.growth
    from compared
    inner join pairs using (season)
    inner join kept using (season, part)
    left join mixed using (season, part, line)
),

quantified as (
    select
        *,
        coalesce(price, 0) <> 0 as has_price,
        (coalesce(quantity, 0)::decimal(26, 12) * coalesce(price, 0)::decimal(26, 12))::decimal(38, 12)
            as at_price_usd,
        (mixed_quantity * coalesce(price, 0)::decimal(26, 12))::decimal(38, 12) as mixed_usd
    from priced
),

exact as (
    select
        *,
        case
            when seasons_kept < 2 then 'records'
            when not has_price then 'spending'
            when part in ('labor', 'travel') then 'rate'
            else 'price'
        end as kind,
        case when has_price then amount_usd - at_price_usd else amount_usd - standard_usd end as exact_usd
    from quantified
    where part <> 'overhead' or line <> 'fixed' or seasons_kept < 2
    union all
    select
        *,
        'mix' as kind,
        case when base_quantity <> 0 then mixed_usd - standard_usd else 0 end as exact_usd
    from quantified
    where has_price
    union all
    select
        *,
        case part
            when 'labor' then 'efficiency'
            when 'materials' then 'usage'
            when 'travel' then 'miles'
            else 'points'
        end as kind,
        case when base_quantity <> 0 then at_price_usd - mixed_usd else at_price_usd - standard_usd end as exact_usd
    from quantified
    where has_price
    union all
    select
        *,
        'spending' as kind,
        amount_usd - base_usd as exact_usd
    from quantified
    where part = 'overhead' and line = 'fixed' and seasons_kept = 2
    union all
    select
        *,
        'fixed_volume' as kind,
        base_usd - standard_usd as exact_usd
    from quantified
    where part = 'overhead' and line = 'fixed' and seasons_kept = 2
),

part_sums as (
    select
        season,
        part,
        to_cents(sum(amount_usd)) as amount_usd,
        to_cents(sum(base_usd)) as base_usd,
        to_cents(sum(standard_usd)) as standard_usd
    from quantified
    group by season, part
),

cents as (
    select
        *,
        floor(round(exact_usd, 9)::decimal(38, 9) * 100)::hugeint as floor_cents
    from exact
),

ranked as (
    select
        cents.*,
        ((part_sums.amount_usd - part_sums.standard_usd) * 100)::hugeint
        - sum(cents.floor_cents) over (partition by cents.season, cents.part) as cents_to_place,
        row_number() over (
            partition by cents.season, cents.part
            order by round(cents.exact_usd, 9) * 100 - cents.floor_cents desc, cents.line asc, cents.kind asc
        ) as place
    from cents
    inner join part_sums using (season, part)
),

rounded as (
    select
        *,
        ((floor_cents + case when place <= cents_to_place then 1 else 0 end)::decimal(36, 0) * 0.01)::decimal(18, 2)
            as variance_usd
    from ranked
),

final as (
    select
        season,
        base_season,
        part,
        line,
        kind,
        unit,
        quantity::decimal(26, 12) as quantity,
        case when has_price then mixed_quantity end as standard_quantity,
        mul_div(1, amount_usd, quantity) as usd_per_unit,
        case when has_price and base_quantity <> 0 then price end as standard_usd_per_unit,
        variance_usd
    from rounded
    union all
    select
        part_sums.season,
        pairs.base_season,
        part_sums.part,
        'all' as line,
        'volume' as kind,
        'ft' as unit,
        pairs.feet as quantity,
        pairs.base_feet as standard_quantity,
        null as usd_per_unit,
        mul_div(1, part_sums.base_usd, pairs.base_feet) as standard_usd_per_unit,
        (part_sums.standard_usd - part_sums.base_usd)::decimal(18, 2) as variance_usd
    from part_sums
    inner join pairs using (season)
)

select * from final
