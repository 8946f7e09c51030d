-- records.quotes: one row a quote, and one a revision, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.quotes (
    season integer not null,
    branch varchar,
    quote_no varchar not null,
    customer_no varchar,
    quote_date date not null,
    feet decimal(26, 12) not null,
    price decimal(26, 12) not null,
    outcome varchar not null,
    work varchar,
    stories integer,
    job_no varchar,
    revision integer not null,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (feet > 0),
    check (price >= 0),
    check (outcome in ('won', 'lost', 'open')),
    check (work in ('new', 'repeat')),
    check (stories >= 1),
    check (stories <= 4),
    check (revision >= 0),
    check (revision <= 99)
);

create unique index if not exists quotes_key
on records.quotes (season, branch_set, coalesce(branch, ''), quote_no, revision);

comment on column records.quotes.season is
'year in which the season starts';

comment on column records.quotes.branch is
'the branch that quoted';

comment on column records.quotes.quote_no is
'the quote''s number';

comment on column records.quotes.customer_no is
'the customer''s number';

comment on column records.quotes.quote_date is
'the day of the quote';

comment on column records.quotes.feet is
'feet quoted; unit: ft';

comment on column records.quotes.price is
'price quoted; unit: usd';

comment on column records.quotes.outcome is
'what became of it; one of won, lost, open';

comment on column records.quotes.work is
'new work or an offered renewal; one of new, repeat';

comment on column records.quotes.stories is
'stories quoted';

comment on column records.quotes.job_no is
'the job it became';

comment on column records.quotes.revision is
'the revision; the last one counts; where not given: 0';

comment on column records.quotes.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.quotes.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.quotes.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.quotes.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.quotes (
    season integer not null,
    branch varchar,
    quote_no varchar,
    customer_no varchar,
    quote_date date,
    feet decimal(26, 12),
    price decimal(26, 12),
    outcome varchar,
    work varchar,
    stories integer,
    job_no varchar,
    revision integer,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.quotes is
'one row a quote, and one a revision, rejected or held';

comment on column refused.quotes.season is
'year in which the season starts';

comment on column refused.quotes.branch is
'the branch that quoted';

comment on column refused.quotes.quote_no is
'the quote''s number';

comment on column refused.quotes.customer_no is
'the customer''s number';

comment on column refused.quotes.quote_date is
'the day of the quote';

comment on column refused.quotes.feet is
'feet quoted; unit: ft';

comment on column refused.quotes.price is
'price quoted; unit: usd';

comment on column refused.quotes.outcome is
'what became of it; one of won, lost, open';

comment on column refused.quotes.work is
'new work or an offered renewal; one of new, repeat';

comment on column refused.quotes.stories is
'stories quoted';

comment on column refused.quotes.job_no is
'the job it became';

comment on column refused.quotes.revision is
'the revision; the last one counts; where not given: 0';

comment on column refused.quotes.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.quotes.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.quotes.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.quotes.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.quotes.why is
'every reason why the row was not accepted';

comment on column refused.quotes.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
