-- reference.social_security_bases: one row a calendar year, with the pay up to which Social Security is due.
-- columns:
--   year: calendar year
--   usd: yearly pay of a worker up to which Social Security is due, usd
--   source: where the base was published

create table if not exists reference.social_security_bases (
    year integer not null,
    usd decimal(26, 12) not null,
    source varchar not null,
    unique (year)
);
