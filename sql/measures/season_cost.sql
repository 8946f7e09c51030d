-- measures.season_cost: one row a season and branch, and one for all branches, with the jobs' costs summed
-- Season cost per foot = sum of job cost / sum of feet, never the mean of the jobs' ratios. Jobs without feet
-- keep their cost and are in the sums of money, so that every dollar is there. In usd and ft.
-- columns:
--   season: season
--   branch: branch, or all
--   jobs: completed jobs
--   open_jobs: of these, jobs whose lines are not down
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
--   invoiced_other_usd: other work invoiced
--   margin_usd: invoiced - total
--   margin_share: margin / invoiced
--   cost_usd_per_ft: total / feet
--   charged_usd_per_ft: invoiced / feet
--   owner_usd: cost of the owner's own hours inside the total; null where it is not known
--   total_without_owner_usd: total less the owner's own hours
--   capitalised_usd: leased goods carried to later seasons
--   understated_jobs: jobs of which a cost is missing
with jobs as (
    select * from measures.job_cost
),

grouped as (
    select
        season,
        coalesce(branch, 'all') as branch,
        count(*)::integer as jobs,
        count(*) filter (where not is_final)::integer as open_jobs,
        count(*) filter (where margin_usd < 0)::integer as losing_jobs,
        sum(feet)::decimal(26, 12) as feet,
        sum(labor_usd)::decimal(18, 2) as labor_usd,
        sum(materials_usd)::decimal(18, 2) as materials_usd,
        sum(travel_usd)::decimal(18, 2) as travel_usd,
        sum(equipment_usd)::decimal(18, 2) as equipment_usd,
        sum(service_usd)::decimal(18, 2) as service_usd,
        sum(overhead_usd)::decimal(18, 2) as overhead_usd,
        sum(total_usd)::decimal(18, 2) as total_usd,
        sum(invoiced_usd)::decimal(18, 2) as invoiced_usd,
        sum(invoiced_other_usd)::decimal(18, 2) as invoiced_other_usd,
        sum(margin_usd)::decimal(18, 2) as margin_usd,
        case when count(owner_usd) = count(*) then sum(owner_usd) end::decimal(18, 2) as owner_usd,
        sum(total_without_owner_usd)::decimal(18, 2) as total_without_owner_usd,
        sum(capitalised_usd)::decimal(18, 2) as capitalised_usd,
        count(*) filter (where is_understated)::integer as understated_jobs
    from jobs
    group by grouping sets ((season, branch), (season))
),

final as (
    select
        *,
        margin_usd / nullif(invoiced_usd, 0) as margin_share,
        total_usd / nullif(feet, 0) as cost_usd_per_ft,
        invoiced_usd / nullif(feet, 0) as charged_usd_per_ft
    from grouped
)

select * from final
