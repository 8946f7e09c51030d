-- decisions.gap_crossings: one row a spacing of light line, gap between rooflines and way of crossing it.
-- What the way costs over the life of the light line, at the firm's own figures: goods spread over their lives, making
-- once, failures each season. Only a way that the maker's label and the local code allow may be chosen.
-- columns:
--   season: year in which the season starts
--   spacing_in: socket to socket of the light line, inches
--   line_ft: light line of the spacing that the season's jobs hold, ft
--   gap_ft: gap between the rooflines, ft
--   way: cut (the line is cut, a jumper with a plug at each end), cap (the sockets in the gap capped) or seal (they are
--     removed and sealed)
--   allowed: what the setting gap_allowed says of the way; null: nothing
--   sockets: sockets of the light line that fall into the gap
--   seasons: life of the light line, seasons
--   goods_usd: light line or cord, pieces and parts over those seasons, usd
--   labor_usd: minutes of loaded pay, once, usd
--   failure_usd: expected cost of failures over those seasons, usd
--   total_usd: goods, labor and failures over those seasons, usd
--   low: lower 95 % limit of total_usd, from rates and the cost of a fault
--   high: upper 95 % limit of total_usd
--   chance_cheapest: chance that it is the cheapest of the ways that have a price and are not forbidden

create table if not exists decisions.gap_crossings (
    season integer not null,
    spacing_in double not null,
    line_ft double,
    gap_ft integer not null,
    way varchar not null,
    allowed boolean,
    sockets integer,
    seasons double,
    goods_usd double,
    labor_usd double,
    failure_usd double,
    total_usd double,
    low double,
    high double,
    chance_cheapest double,
    unique (season, spacing_in, gap_ft, way)
);
