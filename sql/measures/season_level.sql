-- measures.season_level: one row a season.
-- How far the records reach, and what the next level would add. Level 1: jobs. Level 2: hours by job and task. Level 3:
-- runs, items, materials and stock besides. Level 4: connections and service calls besides.
-- Inputs: audit.record_tables, records.hours. An empty sheet was handed in: it means none.
-- columns:
--   season: year in which the season starts
--   level: 1 to 4
--   has_job_hours: whether any hour was written down for a job
--   has_jobs: whether jobs were handed in
--   has_runs: whether runs were handed in
--   has_connections: whether connections were handed in
--   has_hours: whether hours were handed in
--   has_workers: whether workers were handed in
--   has_pay: whether pay were handed in
--   has_items: whether items were handed in
--   has_materials: whether materials were handed in
--   has_service_calls: whether service_calls were handed in
--   has_run_bulbs: whether run_bulbs were handed in
--   has_trips: whether trips were handed in
--   has_receipts: whether receipts were handed in
--   has_equipment: whether equipment were handed in
--   has_overheads: whether overheads were handed in
--   has_purchases: whether purchases were handed in
--   has_offers: whether offers were handed in
--   has_stock: whether stock were handed in
--   has_quotes: whether quotes were handed in
--   has_settings: whether settings were handed in
--   missing_next: which records the next level needs, and what it would add; null at level 4

with record_tables as (
    select * from audit.record_tables
),

hours as (
    select * from records.hours
),

handed as (
    select
        season,
        bool_or(record_table = 'jobs') as has_jobs,
        bool_or(record_table = 'runs') as has_runs,
        bool_or(record_table = 'connections') as has_connections,
        bool_or(record_table = 'hours') as has_hours,
        bool_or(record_table = 'workers') as has_workers,
        bool_or(record_table = 'pay') as has_pay,
        bool_or(record_table = 'items') as has_items,
        bool_or(record_table = 'materials') as has_materials,
        bool_or(record_table = 'service_calls') as has_service_calls,
        bool_or(record_table = 'run_bulbs') as has_run_bulbs,
        bool_or(record_table = 'trips') as has_trips,
        bool_or(record_table = 'receipts') as has_receipts,
        bool_or(record_table = 'equipment') as has_equipment,
        bool_or(record_table = 'overheads') as has_overheads,
        bool_or(record_table = 'purchases') as has_purchases,
        bool_or(record_table = 'offers') as has_offers,
        bool_or(record_table = 'stock') as has_stock,
        bool_or(record_table = 'quotes') as has_quotes,
        bool_or(record_table = 'settings') as has_settings
    from record_tables
    group by season
),

seasons_with_job_hours as (
    select distinct season
    from hours
    where job_no is not null
),

reached as (
    select
        handed.season,
        seasons_with_job_hours.season is not null as has_job_hours,
        handed.has_runs and handed.has_items and handed.has_materials and handed.has_stock as has_goods,
        handed.has_connections and handed.has_service_calls as has_failures
    from handed
    left join seasons_with_job_hours using (season)
),

levels as (
    select
        season,
        has_job_hours,
        case
            when not has_job_hours then 1
            when not has_goods then 2
            when not has_failures then 3
            else 4
        end as level
    from reached
),

final as (
    select
        levels.season,
        levels.level,
        levels.has_job_hours,
        handed.has_jobs,
        handed.has_runs,
        handed.has_connections,
        handed.has_hours,
        handed.has_workers,
        handed.has_pay,
        handed.has_items,
        handed.has_materials,
        handed.has_service_calls,
        handed.has_run_bulbs,
        handed.has_trips,
        handed.has_receipts,
        handed.has_equipment,
        handed.has_overheads,
        handed.has_purchases,
        handed.has_offers,
        handed.has_stock,
        handed.has_quotes,
        handed.has_settings,
        case levels.level
            when 1 then 'Level 2 needs hours by job and task; it would compare the crews and give the cost of each job.'
            when 2
                then
                    'Level 3 needs '
                    || concat_ws(
                        ', ',
                        case when not handed.has_runs then 'runs' end,
                        case when not handed.has_items then 'items' end,
                        case when not handed.has_materials then 'materials' end,
                        case when not handed.has_stock then 'stock' end
                    )
                    || '; it would give the cost by surface, offcut, orders and spools.'
            when 3
                then
                    'Level 4 needs '
                    || concat_ws(
                        ', ',
                        case when not handed.has_connections then 'connections' end,
                        case when not handed.has_service_calls then 'service calls' end
                    )
                    || '; it would give failure points and the price of a connection.'
        end as missing_next
    from levels
    inner join handed using (season)
)

select * from final
