-- decisions.card_segments: one row a kind of work, with what the new rate card would have brought from it
-- A job counts in a surface's row by the share of its feet.
-- columns:
--   season: season to price
--   view: all, work, terms, stories, size_band, branch or surface
--   segment: kind of work
--   jobs: jobs with feet of it
--   feet: fastened feet
--   charged_usd: what was charged, usd
--   card_usd: what the card asks, usd
--   cost_usd: realized cost, usd
--   needed_usd: forecast cost x the card's mean price over forecast cost, usd
--   error_share: card / needed - 1
--   error_se: how far the luck of as many houses moves it, a standard error; null for a single house
--   charged_losing: jobs that cost more than was charged
--   card_losing: jobs that cost more than the card asks

create table if not exists decisions.card_segments (
    season integer not null,
    view varchar not null,
    segment varchar not null,
    jobs integer,
    feet double,
    charged_usd double,
    card_usd double,
    cost_usd double,
    needed_usd double,
    error_share double,
    error_se double,
    charged_losing integer,
    card_losing integer,
    unique (season, view, segment)
);
