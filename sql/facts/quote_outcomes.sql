-- facts.quote_outcomes: one row a season and quote, as its last revision left it.
-- What was asked for a roofline and whether the customer took it: what a response of winning to price is fitted to.
-- Inputs: records.quotes (prices usd, feet ft), records.jobs (dates).
-- An open quote older than 60 days counts as lost. Its age is counted to the last day on which the season's records
-- have a quote, an installation or a takedown, so that closing the same folder later changes nothing. 60 days: common
-- practice, no source.
-- Caveat: quotes are no experiment. Dear houses are quoted dear, and a price may follow what nobody wrote down.
-- columns:
--   season: year in which the season starts
--   branch: branch; null where the row does not say
--   quote_no: the quote
--   revisions: revisions of it in the records
--   customer_no: its customer; null where the row does not say
--   quote_date: day of the last revision
--   work: new, or repeat for an offered renewal; null where the row does not say
--   stories: stories quoted; null where the row does not say
--   feet: feet quoted, ft
--   price_usd: price quoted, usd
--   price_usd_per_ft: price_usd / feet
--   outcome: won, lost or open
--   is_aged: whether it was open and counts as lost for its age

with quotes as (
    select * from records.quotes
),

jobs as (
    select * from records.jobs
),

days as (
    select
        season,
        branch_set,
        quote_date as day
    from quotes
    union all
    select
        season,
        branch_set,
        install_date as day
    from jobs
    union all
    select
        season,
        branch_set,
        takedown_date as day
    from jobs
),

last_days as (
    select
        season,
        branch_set,
        max(day) as last_day
    from days
    group by season, branch_set
),

revised as (
    select
        *,
        count(*) over (partition by season, branch_set, coalesce(branch, ''), quote_no) as revisions,
        row_number() over (
            partition by season, branch_set, coalesce(branch, ''), quote_no
            order by revision desc
        ) as place
    from quotes
),

latest as (
    select
        revised.*,
        revised.outcome = 'open' and revised.quote_date < last_days.last_day - interval 60 day as is_aged
    from revised
    inner join last_days using (season, branch_set)
    where revised.place = 1
),

final as (
    select
        season,
        branch,
        quote_no,
        revisions,
        customer_no,
        quote_date,
        work,
        stories,
        feet,
        price as price_usd,
        price::double / feet::double as price_usd_per_ft,
        case when is_aged then 'lost' else outcome end as outcome,
        is_aged
    from latest
)

select * from final
