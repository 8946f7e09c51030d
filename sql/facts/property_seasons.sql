-- facts.property_seasons: one row a season, branch and property that had a job.
-- Who came back: what the chance of returning is estimated from.
-- Inputs: records.jobs of every season in the store.
-- A property returned when it has a job in the next season, in any branch. Where the branch's next season is not in the
-- store, that is not known.
-- columns:
--   season: year in which the season starts
--   branch: branch
--   property_no: the property
--   customer_no: its customer; the first by number where it had several
--   terms: leased where any of its jobs is, else sold
--   tenure: seasons since the property's first (in the records or by built_season), with that one, as the
--     records up to this season show it: 1 is the first
--   returned: whether it has a job in the next season; null where that season is not in the store

with jobs as (
    select * from records.jobs
),

properties as (
    select
        season,
        branch,
        property_no,
        min(customer_no) as customer_no,
        min(terms) as terms
    from jobs
    group by season, branch, property_no
),

firsts as (
    select distinct
        season,
        property_no,
        min(least(season, coalesce(built_season, season))) over (
            partition by property_no
            order by season
        ) as first_season
    from jobs
),

closed as (
    select distinct
        season,
        branch
    from jobs
),

seen as (
    select distinct
        season,
        property_no
    from jobs
),

final as (
    select
        properties.season,
        properties.branch,
        properties.property_no,
        properties.customer_no,
        properties.terms,
        properties.season - firsts.first_season + 1 as tenure,
        case when closed.season is not null then seen.property_no is not null end as returned
    from properties
    inner join firsts using (season, property_no)
    left join closed
        on
            properties.branch = closed.branch
            and properties.season + 1 = closed.season
    left join seen
        on
            properties.property_no = seen.property_no
            and properties.season + 1 = seen.season
)

select * from final
