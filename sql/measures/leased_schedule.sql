-- measures.leased_schedule: one row a season, branch and season of building, and later season that bears goods built
-- What the leased goods that stand in the season's jobs are still to cost, season by season, if every job comes back: a
-- share of 1 / life each season until the life is over (max(0, min(1 / life, 1 - k / life)) k seasons after building),
-- at what they cost. A kit that does not come back is written down instead (measures.leased_write_downs). Repeat work
-- that does not say when it was built bears 1 / life in the next season; what is left of it is not known.
-- In cents: carried and remaining are rounded, and what is borne is their difference, so that a schedule adds up.
-- Inputs: facts.goods_costs (usd, exact).
-- columns:
--   season: season whose jobs they stand in
--   branch: branch
--   built_season: season in which they were built; null: not known
--   later_season: season that bears them
--   carried_usd: value carried into it; null where the season of building is not known
--   borne_usd: borne in it
--   remaining_usd: value left after it; null where the season of building is not known
with goods as (
    select * from facts.goods_costs
    where standing_usd > 0
),

standing as (
    select
        season,
        branch,
        built_season,
        life_seasons,
        sum(standing_usd)::decimal(38, 12) as standing_usd
    from goods
    group by season, branch, built_season, life_seasons
),

ages as (
    select
        *,
        unnest(
            range(
                1,
                case
                    when built_season is null then 2
                    else greatest(1, ceil(life_seasons)::integer - (season - built_season))
                end
            )
        ) as seasons_on
    from standing
),

lives as (
    select
        *,
        season - coalesce(built_season, season + seasons_on) + seasons_on as seasons_used
    from ages
),

values_of as (
    select
        season,
        branch,
        built_season,
        (season + seasons_on)::integer as later_season,
        mul_div(standing_usd, greatest(0, least(1, life_seasons - seasons_used)), life_seasons) as borne,
        mul_div(standing_usd, greatest(0, life_seasons - seasons_used), life_seasons) as carried,
        mul_div(standing_usd, greatest(0, life_seasons - seasons_used - 1), life_seasons) as remaining
    from lives
),

sums as (
    select
        season,
        branch,
        built_season,
        later_season,
        to_cents(sum(borne)) as borne_usd,
        to_cents(sum(carried)) as carried_usd,
        to_cents(sum(remaining)) as remaining_usd
    from values_of
    group by season, branch, built_season, later_season
),

final as (
    select
        season,
        branch,
        built_season,
        later_season,
        case when built_season is not null then carried_usd end::decimal(18, 2) as carried_usd,
        case when built_season is not null then carried_usd - remaining_usd else borne_usd end::decimal(18, 2)
            as borne_usd,
        case when built_season is not null then remaining_usd end::decimal(18, 2) as remaining_usd
    from sums
)

select * from final
