"""The manager's tables of crews: side by side, pair by pair, over the seasons; what slows a foot; where hours went."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import row, rows_by, slug, table, without_empty
from pipeline.documents.columns import column, ratio, words
from pipeline.documents.manager_tables import FAULT_RATIO
from pipeline.documents.model import Column, Source, Table
from pipeline.documents.results import Results, label_of

Record = dict[str, Any]

MOST_PAIRS = 30
"""Pairs printed, those told apart first; all of them are in decisions.crew_contrasts."""
SUREST = 0.99
"""A chance is printed up to here: beyond it the draws say no more than `almost surely`."""
FAIR = Column("fair_hours_per_100_ft", "Fair", "h/100 ft", "hours_per_100_ft", "hours that the crew would take for "
              "100 ft of all the branch's houses: its ratio x what the average crew takes for them")  # fmt: skip
SEASON_COLUMN = words("season_label", "Season")
EXPECTED = (
    "prep and install hours / those the average crew would have taken for the same houses; the limits hold for all "
    "crews and pairs of the season at once"
)


def _yes(told: bool | None) -> str | None:
    return None if told is None else "yes" if told else "no"


def crew_table(records: list[Record]) -> Table:
    """Hours per 100 feet as they were, beside what the houses explain, and faults beside speed."""
    columns = [
        words("crew", "Crew"),
        words("branch", "Branch"),
        column("jobs"),
        column("feet"),
        column("hours_per_100_ft"),
        FAIR,
        ratio("ratio", "Observed / expected hours", EXPECTED, "all_low", "all_high"),
        words("apart", "Told apart", "whether the crew's interval lies clear of the average"),
        ratio("pooled_ratio", "Pooled", "the same, drawn toward the average by how few the jobs are",
              "pooled_low", "pooled_high"),
        ratio("lasting_ratio", "Over the seasons", "the crew's pace over the seasons to this one, what single seasons "
              "made of it taken out, drawn toward the average", "lasting_low", "lasting_high"),
        ratio("fault_ratio", "Faults / expected", FAULT_RATIO, "fault_low", "fault_high"),
    ]  # fmt: skip
    shown = [r | {"apart": _yes(r.get("told_apart"))} for r in records]
    kept = without_empty(columns, shown)
    rows = rows_by(shown, kept, "measures.crew_hours", ("season", "branch", "crew"))
    return table("crews", "Crews beside each other", kept, rows)


def pair_table(results: Results) -> Table | None:
    """Every pair of crews of a branch, those told apart first."""
    records = results.rows("decisions.crew_contrasts")
    if not records:
        return None
    records.sort(key=lambda r: (not r["told_apart"], str(r["branch"]), str(r["crew"]), str(r["other_crew"])))
    columns = [
        words("crew", "Crew"),
        words("other_crew", "Against"),
        words("branch", "Branch"),
        ratio("ratio", "Hours of the first / second", "hours of the first crew / of the second on equal houses; the "
              "limits hold for all crews and pairs of the season at once", "all_low", "all_high"),
        Column("chance", "First truly faster", "chance", "whole_chance", "probability that the first crew takes fewer "
               "hours than the second on equal houses, both drawn toward the average; shown from 1 to 99 %"),
        words("apart", "Told apart", "whether so large a difference anywhere, were all equal, has a chance below 3 %"),
        Column("houses_alike", "Houses alike", "of houses", "percent", "share of the two crews' houses in the same of "
               "five classes of difficulty"),
    ]  # fmt: skip
    shown = [
        r | {"chance": min(max(r["chance_faster"], 1 - SUREST), SUREST), "apart": _yes(r["told_apart"])}
        for r in records[:MOST_PAIRS]
    ]
    rows = rows_by(shown, columns, "decisions.crew_contrasts", ("season", "branch", "crew", "other_crew"))
    more = "A chance is that of its pair alone; the column beside it counts every comparison of the season together."
    if len(records) > MOST_PAIRS:
        more += " Pairs told apart stand first; the rest of them is in decisions.crew_contrasts."
    return table("crew_pairs", "Every pair of crews", columns, rows, more)


def season_table(results: Results) -> Table | None:
    """Raw and fair hours per 100 feet by crew and season, where the store holds several."""
    fair = {
        (r["season"], r["branch"], r["crew"]): r for r in results.rows("all:decisions.crew_comparison")
        if r["season"] <= results.season
    }  # fmt: skip
    records = []
    for hours in results.rows("all:measures.crew_hours"):
        if not hours["feet"] or hours["season"] > results.season or not hours["jobs"]:
            continue
        more = fair.get((hours["season"], hours["branch"], hours["crew"]), {})
        label = {"season_label": label_of(hours["season"])}
        records.append({key: value for key, value in more.items() if key not in hours} | hours | label)
    if len({r["season"] for r in records}) < 2:
        return None
    records.sort(key=lambda r: (str(r["branch"]), str(r["crew"]), r["season"]))
    columns = [
        words("crew", "Crew"),
        words("branch", "Branch"),
        SEASON_COLUMN,
        column("jobs"),
        column("hours_per_100_ft", heading="Raw"),
        FAIR,
        ratio("ratio", "Observed / expected hours", EXPECTED, "all_low", "all_high"),
    ]
    kept = without_empty(columns, records)
    rows = rows_by(records, kept, "measures.crew_hours", ("season_label", "branch", "crew"))
    return table("crew_seasons", "Raw and fair hours by crew and season", kept, rows)


def ordered_multipliers(results: Results) -> list[Record]:
    """What multiplies hours, the most first, without the size of the job."""
    rows = [r for r in results.rows("decisions.hours_multipliers") if r["term"] != "feet"]
    return sorted(rows, key=lambda r: -r["multiplier"])


def multiplier_table(results: Results) -> Table | None:
    """All terms of the model of hours as multipliers."""
    size = [r for r in results.rows("decisions.hours_multipliers") if r["term"] == "feet"]
    records = [*size, *ordered_multipliers(results)]
    if not records:
        return None
    columns = [
        words("what", "What"),
        ratio("multiplier", "Times the hours", "prep and install hours with it / without it, all else equal, for the "
              "same crew", "low", "high"),
        words("told", "Told", "whether the interval lies clear of 1"),
    ]  # fmt: skip
    shown = [
        r | {"told": "more hours" if r["low"] > 1 else "fewer hours" if r["high"] < 1 else "cannot be told"}
        for r in records
    ]
    rows = rows_by(shown, columns, "decisions.hours_multipliers", ("season", "term"))
    return table("multipliers", "What multiplies the hours of a job", columns, rows)


def learning_table(results: Results) -> Table | None:
    """Progress ratios of the crews whose start is in the records."""
    records = results.rows("decisions.crew_learning")
    if not records:
        return None
    columns = [
        words("crew", "Crew"),
        column("jobs"),
        Column("feet", "Hung since its start", "ft", "feet", "feet that it had hung in the middle of its last job"),
        ratio("progress_ratio", "What a doubling leaves", "hours a foot after each doubling of the feet hung / before",
              "low", "high"),
        Column("now_over_start", "Now / first job", "of hours", "percent", "hours a foot now / at its first job, by "
               "the progress ratio"),
        words("told", "Told"),
    ]  # fmt: skip
    rows = rows_by(records, columns, "decisions.crew_learning", ("season", "crew"))
    return table("crew_learning", "Crews that began in the records", columns, rows)


def mix_table(results: Results) -> Table | None:
    """Where each crew's paid hours went."""
    records = [r | {"place": r["branch"] or "not known"} for r in results.rows("measures.crew_hours_mix")]
    records = [r for r in records if r["paid_hours"]]
    if not records:
        return None
    records.sort(key=lambda r: (r["place"], str(r["crew"])))
    shares = (("drive", "Driving"), ("weather", "Weather"), ("shop", "Shop"), ("training", "Training"),
              ("overtime", "Overtime"))  # fmt: skip
    columns = [
        words("crew", "Crew"),
        words("place", "Branch"),
        Column("paid_hours", "Paid", "h", "hours", "all paid person-hours of the crew"),
        *(Column(f"{key}_share", heading, "of paid hours", "share", f"{key} hours / all paid hours")
          for key, heading in shares),
    ]  # fmt: skip
    rows = rows_by(records, columns, "measures.crew_hours_mix", ("season", "place", "crew"))
    return table("crew_hours_mix", "Where each crew's hours went", columns, rows)


def wild_table(results: Results) -> Table | None:
    """Jobs so far from what the model says that they are named."""
    records = [r for r in results.rows("decisions.crew_jobs") if r["is_wild"]]
    if not records:
        return None
    records.sort(key=lambda r: (-abs(r["score"]), str(r["job_no"])))
    columns = [
        words("job_no", "Job"),
        words("crew", "Crew"),
        column("feet"),
        column("hours"),
        Column("expected_hours", "Expected", "h", "hours", "hours that the average crew would have taken for the job"),
        Column("moves", "Moves its crew's ratio", "of the ratio", "share", "change of the crew's ratio by this job"),
    ]
    rows = [
        row(r, columns, slug(r["branch"], r["job_no"]),
            Source("decisions.crew_jobs", f"season={results.season}, branch={r['branch']}, job_no={r['job_no']}"))
        for r in records
    ]  # fmt: skip
    return table("wild_jobs", "Jobs to look at: far more or fewer hours than such a house takes", columns, rows)
