-- decisions.rate_card: one row a line of the rate card.
-- columns:
--   season: season to price
--   line: line of the card
--   term: visit (a job at all), least (no job under it), surface, stories, slope, work or foot (any foot)
--   what: what the line charges for
--   basis: what the amount is for: a foot, a job
--   amount_usd: amount, usd
--   low: lower 95 % limit of the amount, usd
--   high: upper 95 % limit of the amount, usd

create table if not exists decisions.rate_card (
    season integer not null,
    line integer not null,
    term varchar,
    what varchar,
    basis varchar,
    amount_usd decimal(18, 2),
    low double,
    high double,
    unique (season, line)
);
