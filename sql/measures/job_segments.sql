-- measures.job_segments: one row a job and view, with the segment that the job is in
-- Views: work, terms, stories, slope, size_band, crew, branch, week. A surface is no segment of a whole job: see
-- facts.surface_costs.
-- Built as a view: it only says of each job what measures.job_cost holds.
-- columns:
--   season: season
--   branch: branch
--   job_no: job
--   view: how the jobs are told apart
--   segment: the jobs that it is among
with jobs as (
    select * from measures.job_cost
),

labels as (
    select
        season,
        branch,
        job_no,
        unnest([
            struct_pack(view := 'work', segment := work),
            struct_pack(view := 'terms', segment := terms),
            struct_pack(view := 'stories', segment := stories || if(stories = 1, ' story', ' stories')),
            struct_pack(
                view := 'slope',
                segment := case
                    when slope is null then 'not recorded'
                    when slope < 5 then 'under 5/12'
                    when slope < 9 then '5/12 to 8/12'
                    else '9/12 and over'
                end
            ),
            struct_pack(view := 'size_band', segment := coalesce(size_band, 'not known')),
            struct_pack(view := 'crew', segment := crew),
            struct_pack(view := 'branch', segment := branch),
            struct_pack(view := 'week', segment := strftime(date_trunc('week', install_date), '%Y-%m-%d'))
        ]) as label
    from jobs
),

final as (
    select
        season,
        branch,
        job_no,
        label['view'] as view,
        label['segment'] as segment
    from labels
)

select * from final
