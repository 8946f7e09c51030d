-- measures.job_cost: one row a completed job, with what it realized cost by part
-- Job cost = labor + materials + travel + equipment + service + overhead, in usd, each part in cents that add up to
-- the part's total of the season. A part that the records cannot carry is null, never 0, and the total is the sum of
-- the known parts; is_understated and understated_why say so. Cost per foot = total / fastened feet.
-- columns:
--   season: season
--   branch: branch
--   job_no: job
--   customer_no: customer
--   property_no: property
--   crew: crew that led the installation
--   work: new or repeat
--   terms: leased or sold
--   stories: highest eave worked, stories
--   slope: rise in 12 inches
--   size_band: band of fastened feet
--   install_date: day of installation
--   feet: fastened roofline feet; null: not known
--   direct_hours: direct person-hours
--   labor_usd: labor, with its share of indirect hours
--   materials_usd: goods
--   travel_usd: miles at the rate of the day; null: neither trips nor drive miles
--   equipment_usd: equipment
--   service_usd: service hours, miles and goods
--   overhead_usd: overheads by their basis
--   total_usd: sum of the known parts; null where no record of any cost was handed in
--   cost_usd_per_ft: total / feet
--   invoiced_usd: roofline work invoiced
--   invoiced_other_usd: other work on the same invoice, outside every figure per foot
--   quoted_usd: price quoted
--   margin_usd: invoiced - total
--   margin_share: margin / invoiced
--   owner_hours: the owner's own direct hours
--   owner_usd: cost of the owner's own hours inside the total; null where there are such hours and no owner_wage
--   total_without_owner_usd: total less all that is known of the owner's own pay and hours
--   capitalised_usd: leased goods built this season and carried to later seasons, after this season's share
--   is_final: whether the lines are down, so that no cost can follow
--   is_understated: whether a cost is missing
--   understated_why: what is missing
--   has_own_hours: whether the job's labor is its own; false where hours without a job are spread by feet
with jobs as (
    select * from records.jobs
),

weights as (
    select * from staging.job_weights
),

parts as (
    select * from facts.job_parts
),

hour_costs as (
    select * from facts.hour_costs
),

travel as (
    select * from facts.travel_costs
),

goods as (
    select * from facts.goods_costs
),

firm as (
    select * from staging.firm_settings
),

loaded_hours as (
    select * from facts.loaded_hours
),

record_tables as (
    select * from audit.record_tables
),

unit_costs as (
    select * from facts.unit_costs
),

goods_moved as (
    select * from facts.goods_moved
),

runs as (
    select * from records.runs
),

job_items as (
    select * from facts.job_items
),

part_columns as (
    select
        season,
        branch,
        job_no,
        sum(case when part = 'labor' then part_usd end) as labor_usd,
        sum(case when part = 'materials' then part_usd end) as materials_usd,
        sum(case when part = 'travel' then part_usd end) as travel_usd,
        sum(case when part = 'equipment' then part_usd end) as equipment_usd,
        sum(case when part = 'service' then part_usd end) as service_usd,
        sum(case when part = 'overhead' then part_usd end) as overhead_usd,
        sum(part_usd)::decimal(18, 2) as total_usd,
        to_cents(sum(owner_usd)) as owner_usd
    from parts
    group by season, branch, job_no
),

own_hours as (
    select
        season,
        branch,
        job_no,
        sum(case when engaged = 'owner' then hours else 0 end)::decimal(26, 12) as owner_hours,
        bool_and(is_priced or engaged = 'owner') as wages_known
    from hour_costs
    where destination in ('labor', 'service')
    group by season, branch, job_no
),

shared_hours as (
    select distinct
        season,
        branch_set,
        branch,
        engaged = 'owner' as is_owner,
        is_priced
    from hour_costs
    where destination = 'indirect'
),

shared_by_job as (
    select
        jobs.season,
        jobs.branch,
        jobs.job_no,
        bool_or(shared_hours.is_owner) as has_owner,
        bool_and(shared_hours.is_priced or shared_hours.is_owner) as wages_known
    from jobs
    inner join shared_hours
        on
            jobs.season = shared_hours.season
            and jobs.branch_set = shared_hours.branch_set
            and (shared_hours.branch is null or jobs.branch = shared_hours.branch)
    group by jobs.season, jobs.branch, jobs.job_no
),

travel_known as (
    select
        season,
        branch,
        job_no,
        bool_and(travel_usd is not null) as travel_known
    from travel
    where job_no is not null
    group by season, branch, job_no
),

carried as (
    select
        season,
        branch,
        job_no,
        to_cents(sum(carried_usd)) as capitalised_usd
    from goods
    group by season, branch, job_no
),

handed as (
    select
        season,
        branch_set,
        bool_or(record_table = 'hours') as has_hours,
        bool_or(record_table = 'workers') as has_workers,
        bool_or(record_table = 'materials') as has_materials,
        bool_or(record_table = 'purchases') as has_purchases,
        bool_or(
            record_table in ('hours', 'materials', 'purchases', 'trips', 'equipment', 'overheads')
        ) as has_costs
    from record_tables
    group by season, branch_set
),

-- Roles of the season's employees whose workers' compensation is not given, though that of others is.
unrated as (
    select
        season,
        string_agg(
            distinct coalesce(role, 'workers without a role'), ', ' order by coalesce(role, 'workers without a role')
        ) as roles
    from loaded_hours
    where engaged = 'employee' and compensation_rate is null
    group by season
),

priced_seasons as (
    select distinct season
    from unit_costs
),

unpriced as (
    select distinct
        season,
        branch,
        job_no
    from goods_moved
    where place = 'accepted' and job_no is not null and moved <> 'scrapped' and net_usd is null
),

-- The share of lines cut in an earlier season needs what stands: runs, and a known quantity of each item.
standing as (
    select
        season,
        branch,
        job_no,
        bool_and(job_items.built is not null) as is_known
    from job_items
    semi join runs using (season, branch, job_no)
    group by season, branch, job_no
),

joined as (
    select
        jobs.season,
        jobs.branch,
        jobs.job_no,
        jobs.customer_no,
        jobs.property_no,
        jobs.crew,
        jobs.work,
        jobs.terms,
        jobs.stories,
        jobs.slope,
        case
            when weights.feet < 100 then 'under 100 ft'
            when weights.feet < 150 then '100 to 149 ft'
            when weights.feet < 250 then '150 to 249 ft'
            when weights.feet is not null then '250 ft and over'
        end as size_band,
        jobs.install_date,
        weights.feet,
        weights.direct_hours,
        case
            when handed.has_hours and handed.has_workers then coalesce(part_columns.labor_usd, 0)
            else nullif(part_columns.labor_usd, 0)
        end as labor_usd,
        case when handed.has_materials then coalesce(part_columns.materials_usd, 0) else part_columns.materials_usd end
            as materials_usd,
        case when travel_known.travel_known then coalesce(part_columns.travel_usd, 0) else part_columns.travel_usd end
            as travel_usd,
        case when handed.has_costs then coalesce(part_columns.equipment_usd, 0) end as equipment_usd,
        case
            when handed.has_hours and handed.has_workers then coalesce(part_columns.service_usd, 0)
            else nullif(part_columns.service_usd, 0)
        end as service_usd,
        case when handed.has_costs then coalesce(part_columns.overhead_usd, 0) end as overhead_usd,
        case when handed.has_costs then coalesce(part_columns.total_usd, 0) end as total_usd,
        jobs.invoiced as invoiced_usd,
        coalesce(jobs.invoiced_other, 0) as invoiced_other_usd,
        jobs.quoted as quoted_usd,
        coalesce(own_hours.owner_hours, 0) as owner_hours,
        case
            when firm.owner_wage is null and (own_hours.owner_hours > 0 or shared_by_job.has_owner) then null
            else coalesce(part_columns.owner_usd, 0)
        end as owner_usd,
        coalesce(part_columns.owner_usd, 0) as known_owner_usd,
        coalesce(carried.capitalised_usd, 0) as capitalised_usd,
        jobs.takedown_date is not null as is_final,
        weights.direct_hours > 0 as has_own_hours,
        concat_ws(
            '; ',
            case when not handed.has_hours then 'no hours were handed in' end,
            case when handed.has_hours and not handed.has_workers then 'no wages were handed in' end,
            case
                when handed.has_hours and handed.has_workers and weights.direct_hours = 0
                    then 'the job has no hours of its own'
            end,
            case
                when
                    handed.has_workers
                    and not (coalesce(own_hours.wages_known, true) and coalesce(shared_by_job.wages_known, true))
                    then 'a wage is not known'
            end,
            case
                when firm.owner_wage is null and (own_hours.owner_hours > 0 or shared_by_job.has_owner)
                    then 'owner_wage is not given'
            end,
            case
                when not coalesce(travel_known.travel_known, false)
                    then 'travel: neither trips nor drive miles for every visit'
            end,
            case
                when not handed.has_materials and not handed.has_purchases then 'no goods were handed in'
            end,
            case
                when handed.has_materials and (priced_seasons.season is null or unpriced.job_no is not null)
                    then 'goods have no prices'
            end,
            case
                when
                    handed.has_materials
                    and jobs.terms = 'leased'
                    and jobs.work = 'repeat'
                    and not coalesce(standing.is_known, false)
                    then 'leased goods: what stands from earlier seasons is not known in full'
            end,
            case when not firm.has_state_unemployment then 'state_unemployment is not given' end,
            case when not firm.has_compensation then 'compensation is not given' end,
            case when firm.has_compensation then 'compensation is not given for ' || unrated.roles end
        ) as reasons
    from jobs
    inner join weights using (season, branch, job_no)
    inner join firm using (season)
    inner join handed on jobs.season = handed.season and jobs.branch_set = handed.branch_set
    left join shared_by_job using (season, branch, job_no)
    left join part_columns using (season, branch, job_no)
    left join own_hours using (season, branch, job_no)
    left join travel_known using (season, branch, job_no)
    left join carried using (season, branch, job_no)
    left join priced_seasons using (season)
    left join unrated using (season)
    left join unpriced using (season, branch, job_no)
    left join standing using (season, branch, job_no)
),

final as (
    select
        season,
        branch,
        job_no,
        customer_no,
        property_no,
        crew,
        work,
        terms,
        stories,
        slope,
        size_band,
        install_date,
        feet,
        direct_hours,
        labor_usd::decimal(18, 2) as labor_usd,
        materials_usd::decimal(18, 2) as materials_usd,
        travel_usd::decimal(18, 2) as travel_usd,
        equipment_usd::decimal(18, 2) as equipment_usd,
        service_usd::decimal(18, 2) as service_usd,
        overhead_usd::decimal(18, 2) as overhead_usd,
        total_usd::decimal(18, 2) as total_usd,
        total_usd / feet as cost_usd_per_ft,
        to_cents(invoiced_usd) as invoiced_usd,
        to_cents(invoiced_other_usd) as invoiced_other_usd,
        to_cents(quoted_usd) as quoted_usd,
        (to_cents(invoiced_usd) - total_usd)::decimal(18, 2) as margin_usd,
        (to_cents(invoiced_usd) - total_usd) / nullif(invoiced_usd, 0) as margin_share,
        owner_hours,
        owner_usd::decimal(18, 2) as owner_usd,
        (total_usd - known_owner_usd)::decimal(18, 2) as total_without_owner_usd,
        capitalised_usd::decimal(18, 2) as capitalised_usd,
        is_final,
        reasons <> '' as is_understated,
        nullif(reasons, '') as understated_why,
        has_own_hours
    from joined
)

select * from final
