-- facts.goods_read: one row a season, branch, part and place of goods, with what was read in for them
-- From the records, item by item and not job by job: goods moved (issued less returned) at list price, this season's
-- shares of the leased goods that stand in the jobs; where no goods movements were handed in, what was bought in all
-- instead. A pack, spool or case is one pack of the item, a dozen twelve. Control compares it with what the jobs got.
-- Inputs: records and refused materials and purchases, records.items (usd a pack), facts.job_items (built quantities).
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

listed as (
    select * from records.items
),

jobs as (
    select * from records.jobs
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

record_tables as (
    select * from audit.record_tables
    where record_table = 'materials'
),

items as (
    select
        season,
        item_no,
        any_value(pack_size order by source_file, source_row) as pack_size,
        any_value(pack_price order by source_file, source_row) as pack_price,
        any_value(life_seasons order by source_file, source_row) as life
    from listed
    group by season, item_no
),

moves as (
    select
        accepted.season,
        accepted.branch,
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
        'materials' as part,
        'refused' as place,
        item_no,
        unit,
        moved,
        quantity
    from refused
),

totals as (
    select
        moves.season,
        moves.branch,
        moves.part,
        moves.place,
        moves.item_no,
        sum(
            (
                case moves.moved when 'issued' then 1 when 'returned' then -1 else 0 end
                * case
                    when moves.unit in ('pack', 'spool', 'case') then items.pack_size
                    when moves.unit = 'dozen' then 12
                    else 1
                end
                * moves.quantity
            )::decimal(26, 12)
        ) as quantity
    from moves
    left join items using (season, item_no)
    group by moves.season, moves.branch, moves.part, moves.place, moves.item_no
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
            when jobs.work = 'repeat' then greatest(0, job_items.season - coalesce(jobs.built_season, job_items.season))
            else 0
        end as seasons_used,
        sum(job_items.built) as built
    from job_items
    inner join jobs using (season, branch, job_no)
    anti join bought_in_all on jobs.season = bought_in_all.season and jobs.branch_set = bought_in_all.branch_set
    where jobs.terms = 'leased'
    group by all
),

amounts as (
    select
        totals.season,
        totals.branch,
        totals.part,
        totals.place,
        mul_div(items.pack_price, totals.quantity, items.pack_size) as usd
    from totals
    inner join items using (season, item_no)
    union all
    select
        standing.season,
        standing.branch,
        'materials' as part,
        'accepted' as place,
        mul_div(
            mul_div(items.pack_price, standing.built, items.pack_size),
            greatest(0, least(1, items.life - standing.seasons_used)),
            items.life
        ) as usd
    from standing
    inner join items using (season, item_no)
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
