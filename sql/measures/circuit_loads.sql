-- measures.circuit_loads: one row a job and circuit of the house, with its load against 80 % of the breaker.
-- The loads come from facts.circuits; the limit is added when a season is closed. Lights alone: what else the house
-- draws on the circuit is not recorded.
-- columns:
--   season: year in which the season starts
--   branch: branch of the job
--   job_no: the job
--   circuit: the circuit, within the job; null: the job's runs that name none, as if all were on one circuit
--   feeds: feeds on it, as far as runs name them
--   runs: runs on it
--   watts: watts of the lights; null where those of a bulb are not known
--   amps: watts / the setting line_volts
--   breaker_amps: the setting breaker_amps, A
--   watts_limit: 80 % of the breaker's amps (NEC 210.20(A)) x the setting line_volts, W
--   used_share: watts / watts_limit
--   is_over: whether the limit is passed; on the limit is inside; null where watts are not known

create table if not exists measures.circuit_loads (
    season integer not null,
    branch varchar not null,
    job_no varchar not null,
    circuit varchar,
    feeds bigint,
    runs bigint,
    watts decimal(38, 12),
    amps double,
    breaker_amps double,
    watts_limit double,
    used_share double,
    is_over boolean
);
