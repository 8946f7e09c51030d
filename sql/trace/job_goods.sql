-- trace.job_goods: one row a movement of goods of a job, and one row what of an item later seasons bear, or this one
-- A movement counts at the item's unit cost. Of leased goods what stands in the job is taken off again, and this
-- season's share of it put on. Movements on a service day are the part service.
-- asked: season, branch, job_no.
-- columns:
--   part: materials or service
--   what: item and movement
--   quantity: quantity in the item's unit, returned ones below 0
--   unit: unit of the item
--   rate_usd: cost of a unit
--   amount_usd: cost
--   rule: why it counts
--   source_file: file; null: not a row of its own
--   source_sheet: sheet
--   source_row: row
with asked as (
    select * from temp.asked
),

moves as (
    select materials.* from records.materials
    semi join asked using (season, branch, job_no)
),

costs as (
    select goods_costs.* from facts.goods_costs
    semi join asked using (season, branch, job_no)
),

unit_costs as (
    select * from facts.unit_costs
),

service_days as (
    select * from staging.service_days
),

converted as (
    select
        moves.*,
        unit_costs.unit as item_unit,
        unit_costs.cost_usd,
        unit_costs.cost_quantity,
        unit_costs.basis,
        net_of_move(moves.moved, in_item_units(moves.quantity, moves.unit, unit_costs.pack_size)) as net_quantity,
        service_days.job_no is not null as is_service
    from moves
    left join unit_costs using (season, item_no)
    left join service_days
        on
            moves.season = service_days.season
            and moves.branch = service_days.branch
            and moves.job_no = service_days.job_no
            and moves.move_date = service_days.work_date
),

movements as (
    select
        item_no,
        1 as place,
        case when is_service then 'service' else 'materials' end as part,
        concat_ws(' ', item_no, moved, 'on ' || move_date) as what,
        net_quantity as quantity,
        item_unit as unit,
        cost_usd / nullif(cost_quantity, 0) as rate_usd,
        coalesce(mul_div(cost_usd, net_quantity, cost_quantity), 0)::decimal(38, 12) as amount_usd,
        case
            when cost_usd is null then 'no price is known'
            when moved = 'scrapped' then 'known lost: a part of what was not returned'
            else 'at ' || basis
        end as rule,
        source_file,
        source_sheet,
        source_row
    from converted
),

standing as (
    select
        item_no,
        2 as place,
        'materials' as part,
        item_no || ' that stands in the job' as what,
        null::decimal(26, 12) as quantity,
        null::varchar as unit,
        null::double as rate_usd,
        (-capitalised_usd)::decimal(38, 12) as amount_usd,
        'the firm owns it: its seasons bear it' as rule,
        null::varchar as source_file,
        null::varchar as source_sheet,
        null::integer as source_row
    from costs
    where capitalised_usd <> 0
),

not_issued as (
    select
        item_no,
        2 as place,
        'materials' as part,
        item_no || ' that stands in the job and was not issued to it' as what,
        built_quantity - net_quantity as quantity,
        null::varchar as unit,
        not_issued_usd / nullif(built_quantity - net_quantity, 0) as rate_usd,
        not_issued_usd as amount_usd,
        'it came from somewhere: look at the movements again' as rule,
        null::varchar as source_file,
        null::varchar as source_sheet,
        null::integer as source_row
    from costs
    where not_issued_usd <> 0
),

shares as (
    select
        item_no,
        3 as place,
        'materials' as part,
        item_no || ', this season''s share' as what,
        built_quantity as quantity,
        null::varchar as unit,
        lease_usd / nullif(built_quantity, 0) as rate_usd,
        lease_usd as amount_usd,
        concat(
            'built ', coalesce(built_season::varchar, 'in a season that is not known'), ', lasts ',
            life_seasons::double, ' seasons'
        ) as rule,
        null::varchar as source_file,
        null::varchar as source_sheet,
        null::integer as source_row
    from costs
    where lease_usd <> 0
),

lines as (
    select * from movements
    union all
    select * from not_issued
    union all
    select * from standing
    union all
    select * from shares
),

final as (
    select
        part,
        what,
        quantity,
        unit,
        rate_usd,
        amount_usd,
        rule,
        source_file,
        source_sheet,
        source_row
    from lines
    order by part, item_no, place, source_file, source_sheet, source_row
)

select * from final
