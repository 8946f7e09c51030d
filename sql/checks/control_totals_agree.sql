-- control_totals_agree: a season, branch and part of cost of which not every dollar read is accounted for.
with control as (
    select * from audit.control
),

final as (
    select
        season,
        branch,
        part,
        'read ' || read_usd || ' but ' || difference_usd || ' of it went nowhere' as why
    from control
    where difference_usd <> 0
)

select * from final
