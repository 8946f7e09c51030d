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
--   error_se: its standard error by the luck of the jobs; null for all jobs together and for a single house
--   later_se: that of its error in another season with as many jobs like these, by the luck of both
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
    later_se double,
    charged_losing integer,
    card_losing integer,
    unique (season, view, segment)
);
