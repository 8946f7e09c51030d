-- facts.goods_read: one row a season, branch, part and place of goods, with what was read in for them
-- From the records, item by item and not job by job: goods moved (issued less returned) at the item's unit cost, and
-- this season's shares of the leased goods that stand in the jobs, at the cost of the season that built them; where no
-- goods movements were handed in, what was bought in all instead. A pack, spool or case is one pack of the item, a
-- dozen twelve. Beside what the jobs got: what stock should hold and does not, and what the season before carried on
-- of leased kits that did not come back. Control compares it with where it went.
-- Inputs: records and refused materials and purchases, facts.unit_costs (usd a unit), facts.job_items (built
-- quantities), facts.stock_events and facts.goods_costs (usd).
-- columns:
--   season: season
--   branch: branch of the job or row; null: not said
--   part: materials, or service on a service day
--   place: accepted or refused
--   read_usd: read, exact
with accepted as (
    select * from records.materials
),

refused as (
    select * from refused.materials
),

unit_costs as (
    select * from facts.unit_costs
),

jobs as (
    select * from records.jobs
),

refused_jobs as (
    select * from refused.jobs
),

job_items as (
    select * from facts.job_items
),

service_days as (
    select * from staging.service_days
),

purchases as (
    select * from records.purchases
),

refused_purchases as (
    select * from refused.purchases
),

stock_events as (
    select * from facts.stock_events
),

goods_costs as (
    select * from facts.goods_costs
    where remaining_usd > 0
),

record_tables as (
    select * from audit.record_tables
    where record_table = 'materials'
),

moves as (
    select
        accepted.season,
        accepted.branch,
        accepted.job_no,
        case when service_days.job_no is not null then 'service' else 'materials' end as part,
        'accepted' as place,
        accepted.item_no,
        accepted.unit,
        accepted.moved,
        accepted.quantity
    from accepted
    left join service_days
        on
            accepted.season = service_days.season
            and accepted.branch = service_days.branch
            and accepted.job_no = service_days.job_no
            and accepted.move_date = service_days.work_date
    union all
    select
        season,
        branch,
        job_no,
        'materials' as part,
        'refused' as place,
        item_no,
        unit,
        moved,
        quantity
    from refused
),

job_totals as (
    select
        moves.season,
        moves.branch,
        moves.job_no,
        moves.part,
        moves.place,
        moves.item_no,
        sum(
            case moves.moved when 'issued' then 1 when 'returned' then -1 else 0 end
            * case
                when moves.unit in ('pack', 'spool', 'case') then exact_product(moves.quantity, unit_costs.pack_size)
                when moves.unit = 'dozen' then moves.quantity * 12
                else moves.quantity
            end::decimal(26, 12)
        ) as quantity
    from moves
    left join unit_costs using (season, item_no)
    group by moves.season, moves.branch, moves.job_no, moves.part, moves.place, moves.item_no
),

totals as (
    select
        season,
        branch,
        part,
        place,
        item_no,
        sum(quantity) as quantity
    from job_totals
    group by season, branch, part, place, item_no
),

bought_in_all as (
    select distinct
        purchases.season,
        purchases.branch_set
    from purchases
    anti join record_tables using (season, branch_set)
),

standing as (
    select
        job_items.season,
        job_items.branch,
        job_items.item_no,
        case
            when jobs.work = 'new' or jobs.built_season > job_items.season then job_items.season
            else jobs.built_season
        end as built_season,
        sum(job_items.built) as built
    from job_items
    inner join jobs using (season, branch, job_no)
    anti join bought_in_all on jobs.season = bought_in_all.season and jobs.branch_set = bought_in_all.branch_set
    where jobs.terms = 'leased'
    group by all
),

-- What stands in new leased jobs and was not issued to them.
not_issued as (
    select
        job_items.season,
        job_items.branch,
        job_items.item_no,
        sum(greatest(0, coalesce(job_items.built, 0) - coalesce(job_totals.quantity, 0))) as quantity
    from job_items
    inner join jobs using (season, branch, job_no)
    left join job_totals
        on
            job_items.season = job_totals.season
            and job_items.branch = job_totals.branch
            and job_items.job_no = job_totals.job_no
            and job_items.item_no = job_totals.item_no
            and job_totals.part = 'materials'
            and job_totals.place = 'accepted'
    anti join bought_in_all on jobs.season = bought_in_all.season and jobs.branch_set = bought_in_all.branch_set
    where jobs.terms = 'leased' and jobs.work = 'new'
    group by job_items.season, job_items.branch, job_items.item_no
),

shares as (
    select
        standing.season,
        standing.branch,
        standing.built,
        standing.season - coalesce(standing.built_season, standing.season) as seasons_used,
        coalesce(built_at.cost_usd, unit_costs.cost_usd) as cost_usd,
        coalesce(built_at.cost_quantity, unit_costs.cost_quantity) as cost_quantity,
        coalesce(built_at.life_seasons, unit_costs.life_seasons) as life
    from standing
    left join unit_costs using (season, item_no)
    left join unit_costs as built_at
        on standing.built_season = built_at.season and standing.item_no = built_at.item_no
),

standing_shares as (
    select
        season,
        branch,
        mul_div(cost_usd, built, cost_quantity) as standing_usd,
        greatest(0, least(1, life - seasons_used)) as life_borne,
        life
    from shares
),

kits as (
    select
        season,
        property_no
    from jobs
    where terms = 'leased' and work = 'repeat'
    union
    select
        season,
        coalesce(property_no, customer_no) as property_no
    from refused_jobs
),

left_over as (
    select
        goods_costs.season + 1 as season,
        goods_costs.branch,
        goods_costs.remaining_usd as usd
    from goods_costs
    inner join jobs using (season, branch, job_no)
    anti join kits on goods_costs.season + 1 = kits.season and jobs.property_no = kits.property_no
    semi join jobs as later on goods_costs.season + 1 = later.season and goods_costs.branch = later.branch
),

quantities as (
    select * from totals
    union all
    select
        season,
        branch,
        'materials' as part,
        'accepted' as place,
        item_no,
        quantity
    from not_issued
),

amounts as (
    select
        quantities.season,
        quantities.branch,
        quantities.part,
        quantities.place,
        mul_div(unit_costs.cost_usd, quantities.quantity, unit_costs.cost_quantity) as usd
    from quantities
    inner join unit_costs using (season, item_no)
    union all
    select
        season,
        branch,
        'materials' as part,
        'accepted' as place,
        mul_div(standing_usd, life_borne, life) as usd
    from standing_shares
    union all
    select
        season,
        branch,
        'materials' as part,
        'accepted' as place,
        usd
    from stock_events
    union all
    select
        season,
        branch,
        'materials' as part,
        'accepted' as place,
        usd
    from left_over
    union all
    select
        purchases.season,
        purchases.branch,
        'materials' as part,
        'accepted' as place,
        purchases.paid + coalesce(purchases.freight, 0) as usd
    from purchases
    anti join record_tables using (season, branch_set)
    union all
    select
        refused_purchases.season,
        refused_purchases.branch,
        'materials' as part,
        'refused' as place,
        refused_purchases.paid + coalesce(refused_purchases.freight, 0) as usd
    from refused_purchases
    anti join record_tables using (season, branch_set)
),

final as (
    select
        season,
        branch,
        part,
        place,
        sum(usd)::decimal(38, 12) as read_usd
    from amounts
    where usd is not null
    group by season, branch, part, place
)

select * from final
