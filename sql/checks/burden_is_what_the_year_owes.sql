-- burden_is_what_the_year_owes: an employee's calendar year whose burden on single hours is not the year's own, or of
-- which a tax passes its base. Shares are kept to 12 decimals: a ten-thousandth of a dollar is agreement.
with hours as (
    select * from facts.loaded_hours
    where engaged = 'employee'
),

taxes as (
    select * from facts.worker_taxes
),

rules as (
    select * from staging.burden_rules
),

on_hours as (
    select
        season,
        worker_no,
        year(work_date) as year,
        sum(burden_usd - compensation_usd) as usd
    from hours
    group by season, worker_no, year(work_date)
),

owed as (
    select
        taxes.*,
        taxes.taxable_usd::decimal(26, 12) * taxes.plain_rate as plain_usd,
        case
            when taxes.taxable_usd = 0 then 0
            else mul_div(taxes.due_usd, taxes.taxable_usd, taxes.year_taxable_usd)
        end as share_usd,
        case
            when rules.social_security_rate = 0 then 0 else rules.social_security_rate * rules.social_security_base_usd
        end as most_social_security_usd,
        case when rules.futa_rate = 0 then 0 else rules.futa_rate * rules.futa_base_usd end as most_futa_usd,
        case when rules.state_rate = 0 then 0 else rules.state_rate * rules.state_base_usd end as most_state_usd
    from taxes
    inner join rules using (season, year)
),

compared as (
    select
        owed.season,
        owed.worker_no,
        owed.year,
        owed.plain_usd + owed.share_usd as owed_usd,
        on_hours.usd as on_hours_usd,
        greatest(
            owed.social_security_usd - owed.most_social_security_usd,
            owed.futa_usd - owed.most_futa_usd,
            owed.state_unemployment_usd - owed.most_state_usd
        ) as over_usd
    from owed
    left join on_hours using (season, worker_no, year)
),

final as (
    select
        season,
        worker_no,
        year,
        case
            when owed_usd is null then 'the base of a tax is not known'
            when over_usd > 0.0001 then 'a tax passes what is due at its base'
            else
                'the hours bear ' || coalesce(on_hours_usd, 0)::decimal(38, 4) || ' of burden but the year owes '
                || owed_usd::decimal(38, 4)
        end as why
    from compared
    where owed_usd is null or over_usd > 0.0001 or coalesce(abs(on_hours_usd - owed_usd) > 0.0001, true)
)

select * from final
