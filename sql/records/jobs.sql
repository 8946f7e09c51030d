-- records.jobs: one row a completed job, accepted.

-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.

create table if not exists records.jobs (
    season integer not null,
    branch varchar not null,
    job_no varchar not null,
    customer_no varchar not null,
    property_no varchar,
    feet decimal(26, 12),
    built_season integer,
    crew varchar not null,
    work varchar not null,
    terms varchar not null,
    stories integer not null,
    slope decimal(26, 12),
    drive_miles decimal(26, 12),
    quoted decimal(26, 12),
    invoiced decimal(26, 12) not null,
    invoiced_other decimal(26, 12),
    install_date date not null,
    takedown_date date,
    lit_nights integer,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    branch_set varchar not null,
    check (feet > 0),
    check (built_season >= 1990),
    check (built_season <= 2100),
    check (work in ('new', 'repeat')),
    check (terms in ('leased', 'sold')),
    check (stories >= 1),
    check (stories <= 4),
    check (slope >= 0),
    check (slope <= 24),
    check (drive_miles >= 0),
    check (drive_miles <= 500),
    check (quoted >= 0),
    check (invoiced >= 0),
    check (invoiced_other >= 0),
    check (lit_nights >= 0),
    check (lit_nights <= 250),
    unique (season, branch, job_no)
);

comment on column records.jobs.season is
'year in which the season starts';

comment on column records.jobs.branch is
'the branch that did the job; where not given: main';

comment on column records.jobs.job_no is
'the job''s number, unique in season and branch';

comment on column records.jobs.customer_no is
'the customer''s number, the same from season to season';

comment on column records.jobs.property_no is
'the property''s number, the same from season to season; where not given: the customer''s number';

comment on column records.jobs.feet is
'fastened roofline feet; unit: ft; where not given: the sum of the job''s runs';

comment on column records.jobs.built_season is
'for repeat work: the season in which its lines were cut';

comment on column records.jobs.crew is
'the crew that led the installation';

comment on column records.jobs.work is
'new: first season on this property; repeat: lines that were cut in an earlier season; one of new, repeat';

comment on column records.jobs.terms is
'who owns the goods: leased (the firm) or sold (the customer); one of leased, sold';

comment on column records.jobs.stories is
'highest eave worked, in stories';

comment on column records.jobs.slope is
'roof slope: rise in inches for 12 inches of run; unit: in/12 in';

comment on column records.jobs.drive_miles is
'round trip of one visit; unit: miles';

comment on column records.jobs.quoted is
'price quoted for the roofline work, before sales tax; unit: usd';

comment on column records.jobs.invoiced is
'roofline work invoiced, before sales tax; unit: usd';

comment on column records.jobs.invoiced_other is
'other work on the same invoice (trees, wreaths), kept out of every figure per foot; unit: usd';

comment on column records.jobs.install_date is
'day the installation was finished';

comment on column records.jobs.takedown_date is
'day the lines came down; blank while the job is open';

comment on column records.jobs.lit_nights is
'nights lit; unit: nights; where not given: days from installation to takedown, else to 5 January';

comment on column records.jobs.source_file is
'file that the row was read from, within the season''s folder';

comment on column records.jobs.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column records.jobs.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column records.jobs.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';

create table if not exists refused.jobs (
    season integer not null,
    branch varchar,
    job_no varchar,
    customer_no varchar,
    property_no varchar,
    feet decimal(26, 12),
    built_season integer,
    crew varchar,
    work varchar,
    terms varchar,
    stories integer,
    slope decimal(26, 12),
    drive_miles decimal(26, 12),
    quoted decimal(26, 12),
    invoiced decimal(26, 12),
    invoiced_other decimal(26, 12),
    install_date date,
    takedown_date date,
    lit_nights integer,
    source_file varchar not null,
    source_sheet varchar not null,
    source_row integer not null,
    place varchar not null,
    why varchar not null,
    branch_set varchar not null
);

comment on table refused.jobs is
'one row a completed job, rejected or held';

comment on column refused.jobs.season is
'year in which the season starts';

comment on column refused.jobs.branch is
'the branch that did the job; where not given: main';

comment on column refused.jobs.job_no is
'the job''s number, unique in season and branch';

comment on column refused.jobs.customer_no is
'the customer''s number, the same from season to season';

comment on column refused.jobs.property_no is
'the property''s number, the same from season to season; where not given: the customer''s number';

comment on column refused.jobs.feet is
'fastened roofline feet; unit: ft; where not given: the sum of the job''s runs';

comment on column refused.jobs.built_season is
'for repeat work: the season in which its lines were cut';

comment on column refused.jobs.crew is
'the crew that led the installation';

comment on column refused.jobs.work is
'new: first season on this property; repeat: lines that were cut in an earlier season; one of new, repeat';

comment on column refused.jobs.terms is
'who owns the goods: leased (the firm) or sold (the customer); one of leased, sold';

comment on column refused.jobs.stories is
'highest eave worked, in stories';

comment on column refused.jobs.slope is
'roof slope: rise in inches for 12 inches of run; unit: in/12 in';

comment on column refused.jobs.drive_miles is
'round trip of one visit; unit: miles';

comment on column refused.jobs.quoted is
'price quoted for the roofline work, before sales tax; unit: usd';

comment on column refused.jobs.invoiced is
'roofline work invoiced, before sales tax; unit: usd';

comment on column refused.jobs.invoiced_other is
'other work on the same invoice (trees, wreaths), kept out of every figure per foot; unit: usd';

comment on column refused.jobs.install_date is
'day the installation was finished';

comment on column refused.jobs.takedown_date is
'day the lines came down; blank while the job is open';

comment on column refused.jobs.lit_nights is
'nights lit; unit: nights; where not given: days from installation to takedown, else to 5 January';

comment on column refused.jobs.source_file is
'file that the row was read from, within the season''s folder';

comment on column refused.jobs.source_sheet is
'sheet that the row was read from; empty for a CSV file';

comment on column refused.jobs.source_row is
'row of the sheet, counted from 1 as a person sees it';

comment on column refused.jobs.place is
'rejected, or held because its job was rejected or is missing';

comment on column refused.jobs.why is
'every reason why the row was not accepted';

comment on column refused.jobs.branch_set is
'branches that were closed together with the row, sorted, joined by +; many are cut short';
