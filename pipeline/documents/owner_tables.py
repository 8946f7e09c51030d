"""The owner's tables: cost by part, kinds of work, jobs that lost money, seasons, price and rate card."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import row, rows_by, slug, table
from pipeline.documents.columns import column, words
from pipeline.documents.known import as_known
from pipeline.documents.model import Column, Source, Table
from pipeline.documents.owner_segments import with_markup
from pipeline.documents.parts import PARTS, expected_per_foot, per_foot, share_of
from pipeline.documents.results import Results, label_of
from pipeline.documents.wording import BLAME_METHOD

Record = dict[str, Any]

WORST_JOBS = 10
"""Jobs listed by name among those that lost money."""
BEYOND = Column(
    "beyond_usd_per_ft",
    "Beyond its like",
    "usd/ft",
    "usd_per_ft",
    "that part's dollars a foot above the firm's other jobs like it; for a low price, below them",
)
QUANTILES: tuple[tuple[str, float, str], ...] = (
    ("p10", 0.1, "one job in ten is below"),
    ("p50", 0.5, "the job in the middle"),
    ("p90", 0.9, "one job in ten is above"),
)


def all_jobs(results: Results) -> Record | None:
    """The season's cost over all branches, with the parts that are not known left out."""
    season = results.row("measures.season_cost", branch="all")
    return None if season is None else as_known(results, season)


def cost_table(results: Results, season: Record) -> Table:
    """The season's cost by part: dollars, dollars a foot, share; then what was charged and what is left."""
    source = Source("measures.season_cost", f"season={results.season}, branch=all")
    columns = (
        words("what", "Part of cost"),
        column("amount_usd", heading="Season", unit="usd"),
        column("cost_usd_per_ft", heading="Per foot", definition="the amount / the season's feet"),
        column("share", heading="Of cost", unit="share", definition="the amount / the season's cost"),
    )
    lines = [(key, name.capitalize(), season[f"{key}_usd"], False) for key, name in PARTS]
    lines += [
        ("total", "Cost", season["total_usd"], True),
        ("charged", "Charged", season["invoiced_usd"], True),
        ("margin", "Left over", season["margin_usd"], True),
    ]
    if season.get("owner_usd"):
        lines += [
            ("owner", "In it: the owner's own hours", season["owner_usd"], False),
            ("without_owner", "Cost without them", season["total_without_owner_usd"], False),
        ]
    rows = [
        row(
            {
                "what": what,
                "amount_usd": amount,
                "cost_usd_per_ft": per_foot(amount, season["feet"]),
                "share": share_of(amount, season["total_usd"]),
            },
            columns,
            key,
            source,
            strong=strong,
        )
        for key, what, amount, strong in lines
    ]
    return table("season_cost", f"What season {results.season_label} cost, by part", columns, rows)


def losing_jobs(results: Results) -> list[Record]:
    """Jobs whose cost is their own and above what was charged, the worst first."""
    jobs = [job for job in results.rows("measures.job_cost") if job["has_own_hours"] and job["margin_usd"] is not None]
    return sorted((job for job in jobs if job["margin_usd"] < 0), key=lambda job: (job["margin_usd"], job["job_no"]))


def blame(job: Record, expected: dict[str, Any]) -> tuple[str, Any]:
    """What sets a losing job furthest apart from what was to be expected of it, and by how many dollars a foot.

    Each part counts by how far it lies above, the price by how far it lies below.
    """
    excess = {}
    for key, word in PARTS:
        own = per_foot(job[f"{key}_usd"], job["feet"])
        if own is not None and key in expected:
            excess[word] = own - expected[key]
    charged = per_foot(job["invoiced_usd"], job["feet"])
    if charged is not None and "charged" in expected:
        excess["a low price"] = expected["charged"] - charged
    if not excess:
        return "not known: no feet", None
    worst = max(excess, key=lambda word: excess[word])
    return worst, excess[worst]


def losing_table(results: Results, losing: list[Record]) -> Table:
    """The jobs that lost most, each with the part that did it."""
    jobs = [job for job in results.rows("measures.job_cost") if job["has_own_hours"]]
    columns = (
        words("job_no", "Job"),
        words("branch", "Branch"),
        words("crew", "Crew"),
        column("feet"),
        column("total_usd"),
        column("invoiced_usd"),
        column("margin_usd", heading="Lost", definition="charged less cost, below nothing"),
        words("because", "What did it"),
        BEYOND,
    )
    records = []
    for job in losing[:WORST_JOBS]:
        because, beyond = blame(job, expected_per_foot(job, jobs))
        records.append(job | {"because": because, "beyond_usd_per_ft": beyond})
    rows = rows_by(records, columns, "measures.job_cost", ("season", "branch", "job_no"))
    return table("losing_jobs", "The jobs that lost most", columns, rows, BLAME_METHOD)


def job_spread_table(results: Results) -> Table | None:
    """How jobs spread: cost, price and margin of the job in the middle and of those near the ends."""
    jobs = [job for job in results.rows("measures.job_cost") if job["has_own_hours"] and job["feet"]]
    if not jobs:
        return None
    measures = {
        "cost_usd_per_ft": [per_foot(job["total_usd"], job["feet"]) for job in jobs],
        "charged_usd_per_ft": [per_foot(job["invoiced_usd"], job["feet"]) for job in jobs],
        "margin_share": [job["margin_share"] for job in jobs],
    }
    columns = (words("what", "Job"), *(column(key, definition=f"quantile over jobs of: {key}") for key in measures))
    source = Source("measures.job_cost", f"season={results.season}")
    rows = [
        row(
            {"what": text} | {key: quantile(values, at) for key, values in measures.items()},
            columns,
            key,
            source,
        )
        for key, at, text in QUANTILES
    ]
    return table("job_spread", "How far jobs differ", columns, rows)


def quantile(values: list[Any], at: float) -> float | None:
    """A quantile of the known values, linear between neighbours."""
    known = sorted(float(value) for value in values if value is not None)
    if not known:
        return None
    place = at * (len(known) - 1)
    low = int(place)
    high = min(low + 1, len(known) - 1)
    return known[low] + (known[high] - known[low]) * (place - low)


def seasons_table(results: Results) -> Table | None:
    """Seasons beside each other, where the store holds more than one."""
    records = results.rows("all:measures.season_cost", branch="all")
    if len(records) < 2:
        return None
    records = sorted((with_markup(r) | {"label": label_of(r["season"])} for r in records), key=lambda r: r["season"])
    keys = ("jobs", "feet", "cost_usd_per_ft", "charged_usd_per_ft", "margin_share", "margin_usd", "losing_jobs")
    columns = (words("label", "Season"), *(column(key) for key in keys))
    rows = [
        row(r, columns, slug(r["season"]), Source("measures.season_cost", f"season={r['season']}, branch=all"))
        for r in records
    ]
    return table("seasons", "Seasons beside each other", columns, rows)
