-- decisions.price_response: one row a kind of work and factor by which all its quoted prices are moved.
-- columns:
--   season: season to price
--   work: new, repeat, or not said
--   factor: factor on the prices of the season's quotes
--   price_usd_per_ft: quoted price over quoted feet after it, usd a foot
--   won_share: share of the quotes that would be won, 0 to 1
--   won_low: lower 95 % limit of won_share
--   won_high: upper 95 % limit of won_share
--   contribution_usd: what the quotes won that can be done would leave after next season's direct cost, before
--     overhead, usd
--   contribution_low: lower 95 % limit of contribution_usd, usd
--   contribution_high: upper 95 % limit of contribution_usd, usd
--   feet: feet that would be won, ft
--   hours: direct crew hours that they would take, h; null where hours or feet are not known
--   done_share: share of the feet won that the crew hours left suffice for; 1 where nothing limits them

create table if not exists decisions.price_response (
    season integer not null,
    work varchar not null,
    factor double not null,
    price_usd_per_ft double,
    won_share double,
    won_low double,
    won_high double,
    contribution_usd double,
    contribution_low double,
    contribution_high double,
    feet double,
    hours double,
    done_share double,
    unique (season, work, factor)
);
