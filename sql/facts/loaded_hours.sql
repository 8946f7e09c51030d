-- facts.loaded_hours: one row an accepted or held hours row, with what the hour cost
-- What was paid, as facts.paid_hours has it, and the employer's burden on it. An employee's taxes are those of the
-- calendar year (facts.worker_taxes), spread evenly over the worker's pay of that year in the records, premium
-- included, so that early jobs do not look dear; workers' compensation, by role, leaves the premium out. An owner and
-- a subcontract worker bear no burden. Where the cost goes in the accounts:
-- labor: direct hours of an accepted job; service: its service hours, and drive on a service day; indirect: shop,
-- training and weather hours, and hours with no job, to the job's branch, else the row's, else the crew's home, else
-- all; outside: other work; held: hours of a job that was not accepted.
-- Inputs: staging.work_entries (h), facts.paid_hours (usd), facts.worker_taxes (usd a usd of pay). Money in
-- usd, exact to 12 decimals.
-- columns:
--   season: season
--   branch: branch of the job or of the row; null: not said
--   branch_set: branches closed together
--   job_no: job; null: shop time
--   crew: crew
--   worker_no: worker
--   work_date: day
--   week_start: first day of the workweek
--   task: what was done
--   hours: paid hours
--   place: accepted or held
--   destination: labor, service, indirect, outside or held
--   bearing_branch: branch that bears it; null: all
--   engaged: employee, owner or subcontract
--   role: the worker's role that day
--   hourly_wage: wage of the day, usd an hour; null: not known
--   compensation_rate: workers' compensation, share of pay without the premium; null: not given for the role
--   overtime_hours: this entry's share of the week's overtime hours
--   straight_usd: hours x wage; 0 where piece or day pay is the wage; null where the wage is not known
--   extra_pay_usd: its share of bonus, piece and day pay
--   premium_usd: its share of the week's overtime premium
--   compensation_usd: of the burden, workers' compensation
--   burden_usd: burden on all of that
--   loaded_usd: straight + extra + premium + burden, as far as known; null where nothing is known of its pay
--   source_file: file
--   source_sheet: sheet
--   source_row: row
with entries as (
    select * from staging.work_entries
),

paid as (
    select * from facts.paid_hours
),

taxes as (
    select * from facts.worker_taxes
),

service_days as (
    select * from staging.service_days
),

homes as (
    select * from staging.crew_homes
),

taxed as (
    select
        paid.*,
        (paid.pay_usd + paid.premium_usd)::decimal(26, 12) as taxable_usd,
        taxes.taxes_per_usd,
        case when paid.engaged = 'employee' then coalesce(paid.compensation_rate, 0) else 0 end::decimal(26, 12)
            as rate_due
    from paid
    left join taxes
        on
            paid.season = taxes.season
            and paid.worker_no = taxes.worker_no
            and paid.year = taxes.year
            and paid.engaged = 'employee'
),

burdened as (
    select
        *,
        by_rate(pay_usd, rate_due) as compensation_usd,
        by_rate(taxable_usd, taxes_per_usd) as taxes_usd
    from taxed
),

placed as (
    select
        burdened.*,
        entries.branch,
        entries.branch_set,
        entries.job_no,
        entries.crew,
        entries.work_date,
        entries.task,
        entries.hours,
        entries.place,
        entries.source_file,
        entries.source_sheet,
        entries.source_row,
        homes.home,
        case when burdened.engaged = 'employee' then burdened.taxes_usd + burdened.compensation_usd else 0 end
        ::decimal(38, 12) as burden_usd,
        hour_account(entries.place, entries.task, entries.job_no, service_days.job_no is not null) as destination
    from burdened
    inner join entries on burdened.entry = entries.entry
    left join service_days
        on
            entries.season = service_days.season
            and entries.branch = service_days.branch
            and entries.job_no = service_days.job_no
            and entries.work_date = service_days.work_date
    left join homes
        on entries.season = homes.season and entries.branch_set = homes.branch_set and entries.crew = homes.crew
),

final as (
    select
        season,
        branch,
        branch_set,
        job_no,
        crew,
        worker_no,
        work_date,
        week_start,
        task,
        hours,
        place,
        destination,
        case when destination = 'indirect' then coalesce(branch, home) else branch end as bearing_branch,
        engaged,
        role,
        hourly_wage,
        compensation_rate,
        overtime_hours,
        straight_usd,
        extra_pay_usd,
        premium_usd,
        compensation_usd,
        burden_usd,
        case
            when straight_usd is not null or taxable_usd <> 0 then taxable_usd + burden_usd
        end::decimal(38, 12) as loaded_usd,
        source_file,
        source_sheet,
        source_row
    from placed
)

select * from final
