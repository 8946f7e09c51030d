-- facts.goods_moved: one row an accepted, held or rejected movement of goods, in the item's unit and at its cost
-- pack, spool and case are one pack of the item as items lists it; a dozen is twelve.
-- Inputs: accepted and refused materials, facts.unit_costs (usd a unit, as a ratio), staging.service_days.
-- Built for the run alone: facts.goods_costs and measures.item_use hold its sums.
-- columns:
--   season: season
--   branch: branch; null: not said
--   branch_set: branches closed together
--   job_no: job; null: shop
--   item_no: item
--   moved: issued, returned or scrapped
--   move_date: day; null: not dated
--   quantity: quantity in the item's unit; null where it is in packs of an item that is not listed
--   net_quantity: what it adds to the net use: issued less returned; 0 for scrap, which is part of it
--   net_usd: net quantity at the item's unit cost, exact; null where it has no price or the pack is not known
--   is_service: whether the day was a service day of the job
--   place: accepted, held or rejected
with accepted as (
    select * from records.materials
),

refused as (
    select * from refused.materials
),

unit_costs as (
    select * from facts.unit_costs
),

service_days as (
    select * from staging.service_days
),

moves as (
    select
        season,
        branch,
        branch_set,
        job_no,
        item_no,
        moved,
        move_date,
        quantity,
        unit,
        'accepted' as place
    from accepted
    union all
    select
        season,
        branch,
        branch_set,
        job_no,
        item_no,
        moved,
        move_date,
        quantity,
        unit,
        place
    from refused
),

converted as (
    select
        moves.season,
        moves.branch,
        moves.branch_set,
        moves.job_no,
        moves.item_no,
        moves.moved,
        moves.move_date,
        in_item_units(moves.quantity, moves.unit, unit_costs.pack_size) as quantity,
        moves.place,
        unit_costs.cost_usd,
        unit_costs.cost_quantity
    from moves
    left join unit_costs using (season, item_no)
),

signed as (
    select
        *,
        net_of_move(moved, quantity) as net_quantity
    from converted
),

final as (
    select
        signed.season,
        signed.branch,
        signed.branch_set,
        signed.job_no,
        signed.item_no,
        signed.moved,
        signed.move_date,
        signed.quantity,
        signed.net_quantity,
        mul_div(signed.cost_usd, signed.net_quantity, signed.cost_quantity) as net_usd,
        service_days.job_no is not null as is_service,
        signed.place
    from signed
    left join service_days
        on
            signed.season = service_days.season
            and signed.branch = service_days.branch
            and signed.job_no = service_days.job_no
            and signed.move_date = service_days.work_date
            and signed.place = 'accepted'
)

select * from final
