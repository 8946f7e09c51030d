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
            when abs(exact_usd) < 9000000
                then (to_few_units(exact_usd) + case when exact_usd < 0 then -500 else 500 end) // 1000
            else (round(exact_usd, 9)::decimal(38, 9) * 1000000000)::bigint
        end as billionths
    from sums
),

floored as materialized (
    select
        *,
        billionths % 10000000 as signed_remainder,
        signed_remainder + case when signed_remainder < 0 then 10000000 else 0 end as remainder,
        (billionths - remainder) // 10000000 as floor_cents,
        remainder // 10000 as remainder_band
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

counted as (
    select
        season,
        part,
        remainder_band,
        count(*) as jobs
    from floored
    group by season, part, remainder_band
),

reached as (
    select
        *,
        sum(jobs) over (partition by season, part order by remainder_band desc) as jobs_reached
    from counted
),

-- The band of remainders in which the cents run out, and how many are left for its jobs: they alone are put in order.
thresholds as (
    select
        reached.season,
        reached.part,
        reached.remainder_band,
        totals.cents_to_place - reached.jobs_reached + reached.jobs as cents_left
    from reached
    inner join totals using (season, part)
    where
        reached.jobs_reached >= totals.cents_to_place and reached.jobs_reached - reached.jobs < totals.cents_to_place
),

last_cents as (
    select
        floored.season,
        floored.branch,
        floored.job_no,
        floored.part
    from floored
    inner join thresholds using (season, part, remainder_band)
    qualify
        row_number() over (
            partition by floored.season, floored.part
            order by floored.remainder desc, floored.branch asc, floored.job_no asc
        ) <= thresholds.cents_left
),

ranked as (
    select
        floored.*,
        coalesce(floored.remainder_band > thresholds.remainder_band, false)
        or last_cents.season is not null as takes_a_cent
    from floored
    left join thresholds using (season, part)
    left join last_cents using (season, branch, job_no, part)
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
        ((floor_cents + takes_a_cent::integer)::decimal(36, 0) * 0.01)::decimal(18, 2)
            as part_usd
    from ranked
)

select * from final
