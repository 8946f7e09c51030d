"""The owner's charts: what a foot is made of, jobs' margins, kinds of work, seasons, price against chance."""

from __future__ import annotations

from decimal import Decimal
from math import floor
from typing import Any

from pipeline.documents.build import counted, figure, slug
from pipeline.documents.model import Axis, Chart, Figure, Point, Series, Source, say
from pipeline.documents.parts import PARTS, per_foot
from pipeline.documents.results import Results, label_of

Record = dict[str, Any]

USD_PER_FT = Axis("dollars per foot", "usd/ft", "usd_per_ft")
CHART_VIEWS = ("work", "terms", "stories", "size_band")
"""Kinds of work drawn; the table has the others."""
KIND_WORDS = {"work": "{} work", "terms": "{} goods", "stories": "houses of {}", "size_band": "jobs of {}"}
"""Kinds of work as they are spoken of, by the views that are drawn."""
MARGIN_STEP = 10
"""Width of a class of jobs' margins, in points of the price."""
MARGIN_CLASSES = (-40, 80)
"""Ends of the margins drawn one by one, in points; what lies beyond is counted in the end classes."""


def made_of(season: Record, source: Source) -> Chart | None:
    """A foot's cost, part upon part, up to what was charged for it; None where no part is known."""
    feet = season["feet"]
    known = [(key, word, value) for key, word in PARTS if (value := per_foot(season[f"{key}_usd"], feet)) is not None]
    points = [Point(key, word.capitalize(), value, role="part") for key, word, value in known if value]
    cost, margin = per_foot(season["total_usd"], feet), per_foot(season["margin_usd"], feet)
    if cost is None or not known:
        return None
    points.append(Point("cost", "Cost", cost, role="total"))
    if margin is not None:
        points.append(
            Point("margin", "Left over" if margin >= 0 else "Lost", margin, role="good" if margin >= 0 else "bad")
        )
        points.append(Point("charged", "Charged", cost + margin, role="total"))
    largest = max(known, key=lambda part: part[2])
    title = say(
        "{} is the largest part of a foot: {} of {}",
        largest[1].capitalize(),
        _dollars(f"{largest[0]}_usd_per_ft", f"{largest[1]} per foot", largest[2], source),
        figure("cost_usd_per_ft", season, source, format="usd_cents"),
    )
    return Chart(
        "made_of", "waterfall", title, USD_PER_FT, "part of cost", (Series("parts", "A foot", tuple(points)),),
        "season's amount of each part / season's feet", source,
    )  # fmt: skip


def _dollars(name: str, label: str, value: Any, source: Source) -> Figure:
    return Figure(name, label, value, "usd_cents", "usd/ft", f"season's {label}: amount / feet", source)


def job_margins(results: Results, losing: Figure, jobs_counted: Figure) -> Chart | None:
    """How many jobs ended with which margin; those below nothing stand apart."""
    margins = [
        Decimal(str(job["margin_share"])) * 100
        for job in results.rows("measures.job_cost")
        if job["has_own_hours"] and job["margin_share"] is not None
    ]
    if not margins:
        return None
    low, high = MARGIN_CLASSES
    counts = dict.fromkeys(range(low - MARGIN_STEP, high + 1, MARGIN_STEP), 0)
    for margin in margins:
        start = floor(margin / MARGIN_STEP) * MARGIN_STEP
        counts[max(low - MARGIN_STEP, min(start, high))] += 1
    filled = [start for start, count in counts.items() if count]
    shown = range(min(filled), max(filled) + 1, MARGIN_STEP)
    points = tuple(
        Point(_class_key(start), _class_label(start), counts[start], role="bad" if start < 0 else "plain")
        for start in shown
    )
    title = say("{} of {} cost more than was charged for them", losing, counted(jobs_counted, "job", "jobs"))
    return Chart(
        "job_margins", "columns", title, Axis("jobs", "jobs", "count"), "margin, % of the price",
        (Series("jobs", "Jobs", points),), "jobs whose margin lies from this value up to the next",
        Source("measures.job_cost", f"season={results.season}"),
    )  # fmt: skip


def _class_key(start: int) -> str:
    return f"from_minus_{-start}" if start < 0 else f"from_{start}"


def _class_label(start: int) -> str:
    low, high = MARGIN_CLASSES
    if start < low:
        return f"<{low}".replace("-", "\N{MINUS SIGN}")
    if start >= high:
        return f"{high}+"
    return f"{start}".replace("-", "\N{MINUS SIGN}")


def kind_in_words(view: str, segment: str) -> str:
    """A kind of work as it is spoken of: `houses of 3 stories`, `leased goods`."""
    return KIND_WORDS[view].format(segment)


def kinds_of_work(records: list[Record], results: Results) -> Chart | None:
    """Cost per foot of each kind of work, with the price charged beside it."""
    drawn = [
        r for r in records if r["view"] in CHART_VIEWS and None not in (r["cost_usd_per_ft"], r["charged_usd_per_ft"])
    ]
    if not drawn:
        return None
    series = tuple(
        Series(
            key,
            label,
            tuple(Point(slug(r["view"], r["segment"]), r["segment"], r[key], group=r["view_word"]) for r in drawn),
        )
        for key, label in (("cost_usd_per_ft", "cost"), ("charged_usd_per_ft", "charged"))
    )
    thinnest = min(drawn, key=lambda r: r["margin_share"])
    source = Source(
        "measures.segment_cost", f"season={results.season}, branch=all, view={thinnest['view']}, "
        f"segment={thinnest['segment']}"
    )  # fmt: skip
    name = slug(thinnest["view"], thinnest["segment"])
    title = say(
        "Least is left on {}: a margin of {}",
        kind_in_words(thinnest["view"], thinnest["segment"]),
        figure("margin_share", thinnest, source, name=f"segment_cost.{name}.margin_share"),
    )
    return Chart(
        "kinds_of_work", "pairs", title, USD_PER_FT, "kind of work", series,
        "sum of the jobs' cost, or of what was charged / sum of their feet",
        Source("measures.segment_cost", f"season={results.season}, branch=all"),
    )  # fmt: skip


def seasons_compared(results: Results) -> Chart | None:
    """Cost and price per foot of every season in the store, where there is more than one."""
    records = [
        r
        for r in results.rows("all:measures.season_cost", branch="all")
        if None not in (r["cost_usd_per_ft"], r["charged_usd_per_ft"])
    ]
    if len(records) < 2:
        return None
    records.sort(key=lambda r: r["season"])
    series = tuple(
        Series(key, label, tuple(Point(str(r["season"]), label_of(r["season"]), r[key]) for r in records))
        for key, label in (("cost_usd_per_ft", "cost"), ("charged_usd_per_ft", "charged"))
    )
    first, last = records[0], records[-1]
    rose = last["cost_usd_per_ft"] >= first["cost_usd_per_ft"]
    title = say(
        "Cost per foot {} from {} to {} in {} seasons",
        "rose" if rose else "fell",
        _season_cost(first),
        _season_cost(last),
        Figure("seasons", "Seasons in the store", len(records), "count", "seasons", "seasons in the store",
               Source("measures.season_cost", "branch=all")),
    )  # fmt: skip
    return Chart(
        "seasons", "pairs", title, USD_PER_FT, "season", series, "sum of the jobs' cost, or of what was charged / "
        "sum of their feet", Source("measures.season_cost", "branch=all"),
    )  # fmt: skip


def _season_cost(record: Record) -> Figure:
    source = Source("measures.season_cost", f"season={record['season']}, branch=all")
    return figure(
        "cost_usd_per_ft", record, source, format="usd_cents", name=f"seasons.{record['season']}.cost_usd_per_ft"
    )


def price_against_chance(records: list[Record], season: Record, target: Figure, source: Source) -> Chart | None:
    """Price per foot that reaches the target margin, by how sure one wants to be."""
    known = [r for r in records if r["price_usd_per_ft"] is not None]
    if not known:
        return None
    points = tuple(
        Point(
            slug(r["chance"]),
            f"{Decimal(str(r['chance'])) * 100:.0f} % chance",
            r["price_usd_per_ft"],
            r["low"],
            r["high"],
        )
        for r in known
    )
    charged = figure("charged_usd_per_ft", season, source, label="charged this season")
    title = say("The surer of a {} margin one wants to be, the higher the price", target)
    return Chart(
        "price_against_chance", "dots", title, USD_PER_FT, "chance of reaching the target margin",
        (Series("price", "Price", points),), "price per foot at which the season's margin reaches the target with "
        "the chance beside it, with its interval", Source("decisions.price_table", f"season={known[0]['season']}"),
        references=(charged,) if charged.value is not None else (),
    )  # fmt: skip
