-- trace.segment_cost: one row a job of a segment of a season, with what it adds to the segment's cost
-- A surface bears a job's cost by its feet: the lines are exact, the figure has its cents placed over the surfaces.
-- asked: season, view, segment.
-- columns:
--   part: cost
--   what: branch and job
--   quantity: feet
--   unit: ft
--   rate_usd: cost a foot
--   amount_usd: cost
--   rule: why the job is here
--   source_file: file of the job
--   source_sheet: sheet
--   source_row: row
with asked as (
    select * from temp.asked
),

costs as (
    select job_cost.* from measures.job_cost
    semi join asked using (season)
),

jobs as (
    select * from records.jobs
),

runs as (
    select * from records.runs
),

segments as (
    select job_segments.* from measures.job_segments
    semi join asked using (season, view, segment)
),

surfaces as (
    select
        runs.season,
        runs.branch,
        runs.job_no,
        sum(runs.feet)::decimal(26, 12) as feet
    from runs
    inner join asked on runs.season = asked.season and runs.surface = asked.segment and asked.view = 'surface'
    group by runs.season, runs.branch, runs.job_no
),

lines as (
    select
        costs.season,
        costs.branch,
        costs.job_no,
        costs.feet,
        costs.total_usd::decimal(38, 12) as amount_usd,
        'the whole job: ' || segments.segment as rule
    from costs
    inner join segments using (season, branch, job_no)
    union all
    select
        costs.season,
        costs.branch,
        costs.job_no,
        surfaces.feet,
        mul_div(costs.total_usd, surfaces.feet, costs.feet)::decimal(38, 12) as amount_usd,
        concat('its feet here of the job''s ', costs.feet::double) as rule
    from costs
    inner join surfaces using (season, branch, job_no)
    where costs.feet > 0
),

final as (
    select
        'cost' as part,
        concat('job ', lines.job_no, ', ', lines.branch) as what,
        lines.feet as quantity,
        'ft' as unit,
        lines.amount_usd / nullif(lines.feet, 0) as rate_usd,
        coalesce(lines.amount_usd, 0)::decimal(38, 12) as amount_usd,
        lines.rule,
        jobs.source_file,
        jobs.source_sheet,
        jobs.source_row
    from lines
    inner join jobs using (season, branch, job_no)
    order by lines.branch, lines.job_no
)

select * from final
