-- trace.item_moves: one row a movement of an item in a season, over all branches
-- asked: season, item_no.
-- columns:
--   part: issued, returned or scrapped
--   what: day and job
--   quantity: what it adds to the net use, in the item's unit
--   unit: unit of the item
--   rate_usd: cost of a unit
--   amount_usd: cost
--   rule: how the row was written
--   source_file: file
--   source_sheet: sheet
--   source_row: row
with asked as (
    select * from temp.asked
),

moves as (
    select materials.* from records.materials
    semi join asked using (season, item_no)
),

unit_costs as (
    select * from facts.unit_costs
),

final as (
    select
        moves.moved as part,
        concat_ws(', ', moves.move_date, coalesce('job ' || moves.job_no, 'shop')) as what,
        net_of_move(moves.moved, in_item_units(moves.quantity, moves.unit, unit_costs.pack_size)) as quantity,
        unit_costs.unit,
        unit_costs.cost_usd / nullif(unit_costs.cost_quantity, 0) as rate_usd,
        mul_div(
            unit_costs.cost_usd,
            net_of_move(moves.moved, in_item_units(moves.quantity, moves.unit, unit_costs.pack_size)),
            unit_costs.cost_quantity
        )::decimal(38, 12) as amount_usd,
        concat_ws(' ', moves.moved, moves.quantity::double, moves.unit) as rule,
        moves.source_file,
        moves.source_sheet,
        moves.source_row
    from moves
    left join unit_costs using (season, item_no)
    order by moves.moved, moves.move_date, moves.source_file, moves.source_sheet, moves.source_row
)

select * from final
