-- trace.job_pay: one row a payment to a subcontract that names the job
-- asked: season, branch, job_no.
-- columns:
--   part: labor
--   what: who was paid
--   quantity: null
--   unit: null
--   rate_usd: null
--   amount_usd: amount
--   rule: how it goes to the job
--   source_file: file
--   source_sheet: sheet
--   source_row: row
with asked as (
    select * from temp.asked
),

pay as (
    select pay.* from records.pay
    semi join asked using (season, branch, job_no)
    where pay.kind = 'subcontract'
),

final as (
    select
        'labor' as part,
        'subcontract ' || coalesce(worker_no, '') as what,
        null::decimal(26, 12) as quantity,
        null::varchar as unit,
        null::double as rate_usd,
        amount::decimal(38, 12) as amount_usd,
        'in full: it names the job' as rule,
        source_file,
        source_sheet,
        source_row
    from pay
    order by source_file, source_sheet, source_row
)

select * from final
