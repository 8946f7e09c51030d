-- decisions.cost_by_size: one row a size of job, with what its foot costs on the season's mean roofline, in full
-- columns:
--   season: season whose jobs it is made from
--   feet: size of the job, ft
--   cost_usd: cost of the job, usd
--   cost_usd_per_ft: cost of a foot, usd a foot
--   low: lower 95 % limit of that
--   high: upper 95 % limit of that
--   charged_usd_per_ft: the season's mean price, usd a foot; null: nothing was charged

create table if not exists decisions.cost_by_size (
    season integer not null,
    feet double not null,
    cost_usd double,
    cost_usd_per_ft double,
    low double,
    high double,
    charged_usd_per_ft double,
    unique (season, feet)
);
