-- facts.surface_costs: one row a season and surface, over all branches, with its share of the jobs' amounts
-- A surface bears a job's amounts by its feet; only jobs with runs are there, and a job counts once for each surface it
-- has. Each part and the invoices are rounded once to cents by largest remainder over the surfaces (ties by surface),
-- so that they add up to those of the jobs; total and margin are sums of those cents.
-- Inputs: measures.job_cost (usd), records.runs (ft).
-- Built for the run alone: measures.segment_cost holds it.
-- columns:
--   season: season
--   surface: what the runs are fastened to
--   jobs: jobs with runs on it
--   losing_jobs: of these, jobs that cost more than was invoiced
--   feet: fastened feet
--   labor_usd: labor
--   materials_usd: materials
--   travel_usd: travel
--   equipment_usd: equipment
--   service_usd: service
--   overhead_usd: overhead
--   total_usd: sum of the parts
--   invoiced_usd: roofline work invoiced
--   margin_usd: invoiced - total
with jobs as (
    select * from measures.job_cost
    where feet > 0
),

runs as (
    select * from records.runs
),

surfaces as (
    select
        runs.season,
        runs.branch,
        runs.job_no,
        runs.surface,
        jobs.feet as job_feet,
        jobs.margin_usd < 0 as is_losing,
        sum(runs.feet)::decimal(26, 12) as feet
    from runs
    inner join jobs using (season, branch, job_no)
    group by runs.season, runs.branch, runs.job_no, runs.surface, jobs.feet, jobs.margin_usd
),

amounts as (
    unpivot (
        select
            season,
            branch,
            job_no,
            labor_usd as labor,
            materials_usd as materials,
            travel_usd as travel,
            equipment_usd as equipment,
            service_usd as service,
            overhead_usd as overhead,
            invoiced_usd as invoiced
        from jobs
    )
    on labor, materials, travel, equipment, service, overhead, invoiced
    into
    name amount
    value usd
),

shares as (
    select
        surfaces.season,
        surfaces.surface,
        amounts.amount,
        sum(mul_div(amounts.usd, surfaces.feet, surfaces.job_feet))::decimal(38, 12) as exact_usd
    from surfaces
    inner join amounts using (season, branch, job_no)
    group by surfaces.season, surfaces.surface, amounts.amount
),

cents as (
    select
        *,
        floor(round(exact_usd, 9)::decimal(38, 9) * 100)::hugeint as floor_cents
    from shares
),

remainders as (
    select
        *,
        (to_cents(sum(exact_usd) over (partition by season, amount)) * 100)::hugeint
        - sum(floor_cents) over (partition by season, amount) as cents_to_place,
        row_number() over (
            partition by season, amount order by round(exact_usd, 9) * 100 - floor_cents desc, surface asc
        ) as place
    from cents
),

rounded as (
    select
        season,
        surface,
        amount,
        ((floor_cents + case when place <= cents_to_place then 1 else 0 end)::decimal(36, 0) * 0.01)::decimal(18, 2)
            as usd
    from remainders
),

money as (
    select
        season,
        surface,
        sum(usd) filter (where amount = 'labor') as labor_usd,
        sum(usd) filter (where amount = 'materials') as materials_usd,
        sum(usd) filter (where amount = 'travel') as travel_usd,
        sum(usd) filter (where amount = 'equipment') as equipment_usd,
        sum(usd) filter (where amount = 'service') as service_usd,
        sum(usd) filter (where amount = 'overhead') as overhead_usd,
        sum(usd) filter (where amount <> 'invoiced') as total_usd,
        sum(usd) filter (where amount = 'invoiced') as invoiced_usd
    from rounded
    group by season, surface
),

counts as (
    select
        season,
        surface,
        count(*)::integer as jobs,
        count(*) filter (where is_losing)::integer as losing_jobs,
        sum(feet)::decimal(26, 12) as feet
    from surfaces
    group by season, surface
),

final as (
    select
        counts.season,
        counts.surface,
        counts.jobs,
        counts.losing_jobs,
        counts.feet,
        money.labor_usd::decimal(18, 2) as labor_usd,
        money.materials_usd::decimal(18, 2) as materials_usd,
        money.travel_usd::decimal(18, 2) as travel_usd,
        money.equipment_usd::decimal(18, 2) as equipment_usd,
        money.service_usd::decimal(18, 2) as service_usd,
        money.overhead_usd::decimal(18, 2) as overhead_usd,
        money.total_usd::decimal(18, 2) as total_usd,
        money.invoiced_usd::decimal(18, 2) as invoiced_usd,
        (money.invoiced_usd - money.total_usd)::decimal(18, 2) as margin_usd
    from counts
    inner join money using (season, surface)
)

select * from final
