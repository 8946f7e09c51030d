-- trace.job_shares: one row an amount that no single job bears, with the job's share of it
-- Overheads row by row, the others in one sum each: indirect hours, shop goods, idle trips, shared equipment and pay.
-- asked: season, branch, job_no.
-- columns:
--   part: labor, materials, travel, equipment or overhead
--   what: the amount
--   quantity: the job's basis
--   unit: what it is spread by
--   rate_usd: amount a unit of the basis
--   amount_usd: the job's share
--   rule: of how much, over how much
--   source_file: file of an overhead; null: many rows
--   source_sheet: sheet
--   source_row: row
with asked as (
    select * from temp.asked
),

pools as (
    select * from facts.pool_weights
),

weights as (
    select job_weights.* from staging.job_weights
    semi join asked using (season, branch, job_no)
),

overheads as (
    select * from records.overheads
),

borne as (
    select
        pools.*,
        basis_weight(pools.used_basis, weights.direct_hours, weights.feet, weights.revenue) as weight
    from pools
    inner join weights
        on
            pools.season = weights.season
            and pools.branch_set = weights.branch_set
            and coalesce(pools.bearing_branch, weights.branch) = weights.branch
),

lines as (
    select
        part,
        case part
            when 'labor' then 'share of hours and pay without a job'
            when 'materials' then 'share of goods without a job'
            when 'travel' then 'share of trips without a job'
            else 'share of shared equipment'
        end as what,
        weight as quantity,
        used_basis as unit,
        pool_usd as whole_usd,
        total_weight,
        null::varchar as source_file,
        null::varchar as source_sheet,
        null::integer as source_row
    from borne
    where part <> 'overhead'
    union all
    select
        borne.part,
        'share of ' || overheads.what as what,
        borne.weight as quantity,
        borne.used_basis as unit,
        overheads.amount as whole_usd,
        borne.total_weight,
        overheads.source_file,
        overheads.source_sheet,
        overheads.source_row
    from borne
    inner join overheads
        on
            borne.season = overheads.season
            and borne.branch_set = overheads.branch_set
            and borne.branch is not distinct from overheads.branch
            and borne.basis = overheads.basis
            and borne.behaves = overheads.behaves
    where borne.part = 'overhead'
),

final as (
    select
        part,
        what,
        quantity,
        unit,
        whole_usd / nullif(total_weight, 0) as rate_usd,
        mul_div(whole_usd, quantity, total_weight)::decimal(38, 12) as amount_usd,
        concat(
            'of ', round(whole_usd, 2)::decimal(18, 2), ', by ', unit, ': ', round(quantity, 2)::double, ' of ',
            round(total_weight, 2)::double
        ) as rule,
        source_file,
        source_sheet,
        source_row
    from lines
    order by part, what, source_file, source_sheet, source_row
)

select * from final
