-- goods_beyond_built_add_up: an item of which what stands in new jobs and what was used beyond is not the net use.
with item_use as (
    select * from measures.item_use
),

beyond as (
    select * from measures.goods_beyond_built
),

compared as (
    select
        season,
        branch,
        item_no,
        coalesce(item_use.net_used, 0) as net_used,
        coalesce(item_use.built_new, 0)
        + coalesce(
            beyond.offcut
            + beyond.scrap
            + beyond.replacement
            + beyond.service
            + beyond.used_up
            + beyond.not_told_apart
            + beyond.without_job,
            0
        ) as told_apart
    from item_use
    full join beyond using (season, branch, item_no)
),

final as (
    select
        season,
        branch,
        item_no,
        net_used || ' was used, but ' || told_apart || ' is told apart' as why
    from compared
    where net_used <> told_apart
)

select * from final
