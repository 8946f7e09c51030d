-- facts.goods_moved: one row an accepted, held or rejected movement of goods, in the item's unit and at list price
-- pack, spool and case are one pack of the item; a dozen is twelve. Unit cost = pack_price / pack_size.
-- columns:
--   season: season
--   branch: branch; null: not said
--   branch_set: branches closed together
--   job_no: job; null: shop
--   item_no: item
--   moved: issued, returned or scrapped
--   move_date: day; null: not dated
--   quantity: quantity in the item's unit
--   net_quantity: what it adds to the net use: issued less returned; 0 for scrap, which is part of it
--   net_usd: net quantity at list price, exact; null where the item has no price
--   is_service: whether the day was a service day of the job
--   place: accepted, held or rejected
with accepted as (
    select * from records.materials
),

refused as (
    select * from refused.materials
),

items as (
    select * from records.items
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

priced_items as (
    select
        season,
        item_no,
        any_value(pack_size order by source_file, source_row) as pack_size,
        any_value(pack_price order by source_file, source_row) as pack_price
    from items
    group by season, item_no
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
        case
            when moves.unit in ('pack', 'spool', 'case') then moves.quantity * priced_items.pack_size
            when moves.unit = 'dozen' then moves.quantity * 12
            else moves.quantity
        end::decimal(26, 12) as quantity,
        moves.place,
        priced_items.pack_size,
        priced_items.pack_price
    from moves
    left join priced_items using (season, item_no)
),

signed as (
    select
        *,
        case moved when 'issued' then quantity when 'returned' then -quantity else 0 end::decimal(26, 12)
            as net_quantity
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
        mul_div(signed.pack_price, signed.net_quantity, signed.pack_size) as net_usd,
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
