-- facts.job_parts: one row a job and part of cost, exact and in cents
-- Nothing is rounded before this: each part's column is rounded once to cents by largest remainder, so that it adds up
-- to the part's total of the season (ties by branch, then job). A part that cannot be known has no row. The dust of
-- division, under a billionth of a dollar, is left out of the comparison of remainders, so that equal shares tie.
-- Built for the run alone: measures.job_cost holds its cents.
-- columns:
--   season: season
--   branch: branch
--   job_no: job
--   part: labor, materials, travel, equipment, service or overhead
--   direct_usd: the job's own cost, exact
--   spread_usd: its share of common costs, exact
--   exact_usd: their sum
--   owner_usd: of that, the owner's own hours
--   part_usd: the part in cents
with direct as (
    select * from facts.direct_costs
    where direct_usd is not null
),

spread as (
    select * from facts.spread_costs
),

sums as (
    select
        season,
        branch,
        job_no,
        part,
        coalesce(direct.direct_usd, 0)::decimal(38, 12) as direct_usd,
        coalesce(spread.spread_usd, 0)::decimal(38, 12) as spread_usd,
        (coalesce(direct.owner_usd, 0) + coalesce(spread.owner_usd, 0))::decimal(38, 12) as owner_usd
    from direct
    full join spread using (season, branch, job_no, part)
),

-- Billionths of a dollar. 64 bits hold the units of nine million dollars and divide them much faster than 128 do.
cents as (
    select
        *,
        (direct_usd + spread_usd)::decimal(38, 12) as exact_usd,
        case
            when abs(direct_usd + spread_usd) < 9000000
                then (to_units(direct_usd + spread_usd)::bigint + sign(direct_usd + spread_usd) * 500) // 1000
            else round(direct_usd + spread_usd, 9)::decimal(38, 9) * 1000000000
        end::bigint as billionths
    from sums
),

floored as materialized (
    select
        *,
        (billionths - (billionths % 10000000 + 10000000) % 10000000) // 10000000 as floor_cents,
        (billionths % 10000000 + 10000000) % 10000000 as remainder
    from cents
),

totals as (
    select
        season,
        part,
        (to_cents(sum(exact_usd)) * 100)::hugeint - sum(floor_cents) as cents_to_place
    from floored
    group by season, part
),

ranked as (
    select
        floored.*,
        totals.cents_to_place,
        row_number() over (
            partition by season, part order by floored.remainder desc, floored.branch asc, floored.job_no asc
        ) as place
    from floored
    inner join totals using (season, part)
),

final as (
    select
        season,
        branch,
        job_no,
        part,
        direct_usd,
        spread_usd,
        exact_usd,
        owner_usd,
        ((floor_cents + case when place <= cents_to_place then 1 else 0 end)::decimal(36, 0) * 0.01)::decimal(18, 2)
            as part_usd
    from ranked
)

select * from final
