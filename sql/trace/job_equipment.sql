-- trace.job_equipment: one row a charge for equipment of the job itself
-- asked: season, branch, job_no.
-- columns:
--   part: equipment
--   what: equipment and day
--   quantity: null
--   unit: null
--   rate_usd: null
--   amount_usd: charge
--   rule: how it goes to the job
--   source_file: file
--   source_sheet: sheet
--   source_row: row
with asked as (
    select * from temp.asked
),

equipment as (
    select equipment.* from records.equipment
    semi join asked using (season, branch, job_no)
),

final as (
    select
        'equipment' as part,
        kind || ' on ' || use_date as what,
        null::decimal(26, 12) as quantity,
        null::varchar as unit,
        null::double as rate_usd,
        amount::decimal(38, 12) as amount_usd,
        'in full: it names the job' as rule,
        source_file,
        source_sheet,
        source_row
    from equipment
    order by use_date, source_file, source_sheet, source_row
)

select * from final
