-- facts.connection_goods: one row a season and use of goods at a connection or across a gap; light line by spacing.
-- What the piece costs that a connection is made with, and a foot of light line or of zip cord.
-- Inputs: records.items, facts.unit_costs (usd a unit), facts.job_items (units built).
-- The mean over the items of the kind by what was built of each; by item where nothing of the kind was built, as with
-- zip cord, which never is.
-- columns:
--   season: year in which the season starts
--   made_for: plug, inline_tap, timer or capped_socket (kinds of connection), light_line or zip_cord
--   spacing_in: socket to socket, inches, for light line
--   pieces: pieces of the item that a connection takes, or 1 ft
--   unit_usd: cost of a piece or of a foot, usd
--   life_seasons: seasons that the item lasts
--   built: pieces or feet built in the season's jobs

with items as (
    select * from records.items
),

unit_costs as (
    select * from facts.unit_costs
),

job_items as (
    select * from facts.job_items
),

spacings as (
    select
        season,
        item_no,
        any_value(spacing_in order by source_file, source_row) as spacing_in
    from items
    group by season, item_no
),

built as (
    select
        season,
        item_no,
        sum(built) as built
    from job_items
    group by season, item_no
),

priced as (
    select
        unit_costs.season,
        case unit_costs.kind when 'cap' then 'capped_socket' else unit_costs.kind end as made_for,
        case when unit_costs.kind = 'light_line' then spacings.spacing_in end as spacing_in,
        coalesce(built.built, 0)::double as weight,
        unit_costs.unit_cost_usd::double as unit_usd,
        unit_costs.life_seasons::double as life_seasons
    from unit_costs
    left join spacings using (season, item_no)
    left join built using (season, item_no)
    where unit_costs.kind in ('plug', 'inline_tap', 'timer', 'cap', 'light_line', 'zip_cord')
),

final as (
    select
        season,
        made_for,
        spacing_in,
        case made_for when 'plug' then 2 else 1 end as pieces,
        coalesce(sum(weight * unit_usd) / nullif(sum(weight), 0), avg(unit_usd)) as unit_usd,
        coalesce(sum(weight * life_seasons) / nullif(sum(weight), 0), avg(life_seasons)) as life_seasons,
        sum(weight) as built
    from priced
    group by season, made_for, spacing_in
)

select * from final
