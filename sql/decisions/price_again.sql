-- decisions.price_again: one row a job of the season that was closed, as the new rate card would have charged it
-- Margins are at the job's realized cost.
-- columns:
--   season: season to price
--   branch: branch
--   job_no: job
--   customer_no: customer
--   property_no: property
--   feet: fastened feet
--   charged_usd: what was charged, usd
--   card_usd: what the card asks, usd
--   change_usd: card less charged, usd
--   cost_usd: realized cost, usd
--   charged_margin_usd: charged less cost, usd
--   card_margin_usd: card less cost, usd

create table if not exists decisions.price_again (
    season integer not null,
    branch varchar not null,
    job_no varchar not null,
    customer_no varchar,
    property_no varchar,
    feet double,
    charged_usd double,
    card_usd double,
    change_usd double,
    cost_usd double,
    charged_margin_usd double,
    card_margin_usd double,
    unique (season, branch, job_no)
);
