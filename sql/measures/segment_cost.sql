-- measures.segment_cost: one row a view and segment of a season's jobs, over all branches, with their costs summed
-- Views: work, terms, stories, slope, surface, size_band, crew, branch, week. Surfaces are facts.surface_costs: a job
-- counts once for each surface it has. Sums in usd and ft; ratios of sums.
-- columns:
--   season: season
--   branch: all
--   view: how the jobs are told apart
--   segment: the jobs of this row
--   jobs: completed jobs
--   losing_jobs: jobs that cost more than was invoiced
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
--   margin_share: margin / invoiced
--   cost_usd_per_ft: total / feet
--   charged_usd_per_ft: invoiced / feet
with jobs as (
    select * from measures.job_cost
),

surfaces as (
    select * from facts.surface_costs
),

segments_of_jobs as (
    select * from measures.job_segments
),

labelled as (
    select
        jobs.*,
        segments_of_jobs.view,
        segments_of_jobs.segment,
        jobs.margin_usd < 0 as is_losing
    from jobs
    inner join segments_of_jobs using (season, branch, job_no)
),

grouped as (
    select
        season,
        'all' as branch,
        view,
        segment,
        count(*)::integer as jobs,
        count(*) filter (where is_losing)::integer as losing_jobs,
        sum(feet)::decimal(26, 12) as feet,
        to_cents(sum(labor_usd)) as labor_usd,
        to_cents(sum(materials_usd)) as materials_usd,
        to_cents(sum(travel_usd)) as travel_usd,
        to_cents(sum(equipment_usd)) as equipment_usd,
        to_cents(sum(service_usd)) as service_usd,
        to_cents(sum(overhead_usd)) as overhead_usd,
        to_cents(sum(total_usd)) as total_usd,
        to_cents(sum(invoiced_usd)) as invoiced_usd,
        to_cents(sum(margin_usd)) as margin_usd
    from labelled
    group by season, view, segment
),

segments as (
    select
        season,
        branch,
        view,
        segment,
        jobs,
        losing_jobs,
        feet,
        labor_usd,
        materials_usd,
        travel_usd,
        equipment_usd,
        service_usd,
        overhead_usd,
        total_usd,
        invoiced_usd,
        margin_usd
    from grouped
    union all
    select
        season,
        'all' as branch,
        'surface' as view,
        surface as segment,
        jobs,
        losing_jobs,
        feet,
        labor_usd,
        materials_usd,
        travel_usd,
        equipment_usd,
        service_usd,
        overhead_usd,
        total_usd,
        invoiced_usd,
        margin_usd
    from surfaces
),

final as (
    select
        *,
        margin_usd / nullif(invoiced_usd, 0) as margin_share,
        total_usd / nullif(feet, 0) as cost_usd_per_ft,
        invoiced_usd / nullif(feet, 0) as charged_usd_per_ft
    from segments
)

select * from final
