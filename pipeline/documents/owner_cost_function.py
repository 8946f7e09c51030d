"""What going to a house costs before its first foot, what each foot adds, and which jobs are too small."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import figure, missing, note, row, rows_by, table
from pipeline.documents.columns import column, estimate, words
from pipeline.documents.model import (
    Axis,
    Block,
    Chart,
    Column,
    Figure,
    Point,
    Series,
    Source,
    Table,
    Text,
    join,
    say,
)
from pipeline.documents.results import Results
from pipeline.documents.wording import COST_FUNCTION_CAUTION, COST_FUNCTION_METHOD

Record = dict[str, Any]

LIMIT_WORDS: dict[str, tuple[str, str, str]] = {
    "going_there": ("Charge that just pays for going there", "usd", "a job's cost before its first foot / (1 - the "
                    "share of a price that overhead takes)"),
    "mean_foot": ("Each foot beyond that", "usd_per_ft", "cost of the season's mean foot, overhead within it"),
    "minimum_charge": ("Least charge for a visit", "usd", "a job's cost before its first foot / (1 - the share of "
                       "a price that overhead takes - target margin)"),
    "break_even_size": ("Size under which a job loses money", "feet", "cost before the first foot / "
                        "(what is left of the mean price after overhead by revenue - cost of a foot)"),
    "target_size": ("Size under which the target is missed", "feet",
                    "the same, with the target margin taken off the mean price as well"),
}  # fmt: skip
"""The limits in the order in which they are read: name, format and definition."""


def cost_function_blocks(results: Results, season: Record) -> tuple[Block, ...]:
    """The season's cost function with what follows from it, or why it cannot be told."""
    said = list(results.said("cost_function"))
    lines = results.rows("decisions.cost_function")
    limits = {record["what"]: record for record in results.rows("decisions.cost_limits")}
    if not lines or "going_there" not in limits:
        reasons = said or ["What going to a house costs by itself is not known from these records."]
        return tuple(missing(reason) for reason in reasons)
    figures = {what: _limit_figure(what, record, results.season) for what, record in limits.items()}
    chart = _chart(results, season, figures)
    work = [line for line in lines if line["term"] == "work"]
    return (
        note(_lead(figures, season, results, _start_figure(lines[0]))),
        *([chart] if chart else []),
        _limit_table(limits, results.season),
        _line_table([line for line in lines if line["term"] != "work"], _share_of_price(limits, lines[0])),
        *(missing(sentence) for sentence in said),
        *([_work_table(work)] if work else []),
        note(COST_FUNCTION_METHOD, "method"),
        note(COST_FUNCTION_CAUTION, "caution"),
    )


def _limit_figure(what: str, record: Record, season: int) -> Figure:
    label, form, definition = LIMIT_WORDS[what]
    source = Source("decisions.cost_limits", f"season={season}, what={what}")
    form = {"usd_per_ft": "usd_cents"}.get(form, form)
    return Figure(what, label, record["value"], form, record["unit"], definition, source, record["low"], record["high"])


def _with_interval(limit: Figure) -> Text:
    """`$369 ($322 to $418)`; the value alone where an end is without bound."""
    between = limit.shown_interval
    return say("{} ({})", limit, between) if between else say("{}", limit)


def _start_figure(line: Record) -> Figure:
    return Figure("job_before_its_first_foot", "a job before its first foot", line["full_usd"], "usd", "usd",
                  "fitted cost of going to a job at all, with its overhead",
                  Source("decisions.cost_function", f"season={line['season']}, line={line['line']}"),
                  line["full_low"], line["full_high"])  # fmt: skip


def _share_of_price(limits: dict[str, Record], start: Record) -> Figure | None:
    """What overhead that goes by revenue takes of any price; None where there is none."""
    going = limits["going_there"]["value"]
    if not going or not start["full_usd"] or start["full_usd"] >= going:
        return None
    return Figure("overhead_share_of_price", "overhead by revenue", 1 - start["full_usd"] / going, "share", "of price",
                  "overhead lines by revenue / what was charged",
                  Source("decisions.cost_limits", f"season={start['season']}, what=going_there"))  # fmt: skip


def _lead(figures: dict[str, Figure], season: Record, results: Results, going: Figure) -> Text:
    foot = figures["mean_foot"]
    first = say(
        "A job costs {} before its first foot and {} for each foot after that.",
        _with_interval(going),
        _with_interval(foot),
    )
    target = Figure("target_margin", "target margin", results.settings.number("target_margin"), "percent", "of price",
                    "setting target_margin: share of the price that should be left after all costs",
                    Source("reference.settings", f"season={results.season}, setting=target_margin"))  # fmt: skip
    least = figures.get("minimum_charge")
    second = say("To keep {}, no visit is worth less than {}.", target, _with_interval(least)) if least else ""
    if season["charged_usd_per_ft"] is None:
        return join(first, second)
    source = Source("measures.season_cost", f"season={results.season}, branch=all")
    charged = figure("charged_usd_per_ft", season, source, format="usd_cents")
    size = figures["break_even_size"]
    if size.value is None:
        return join(
            first, second, say("At the season's mean price of {} a foot no size of job pays for itself.", charged)
        )
    third = say("At the season's mean price of {} a foot a job under {} loses money", charged, _with_interval(size))
    reach = figures["target_size"]
    fourth = (
        say(" and none reaches {}.", target)
        if reach.value is None
        else say(" and one under {} leaves less than {}.", _with_interval(reach), target)
    )
    return join(first, second, Text((*third.parts, *fourth.parts)))


def _chart(results: Results, season: Record, figures: dict[str, Figure]) -> Chart | None:
    sizes = sorted(results.rows("decisions.cost_by_size"), key=lambda record: record["feet"])
    if not sizes:
        return None
    charged = season["charged_usd_per_ft"]
    points = tuple(
        Point(
            f"ft_{record['feet']:.0f}",
            f"{record['feet']:.0f} ft",
            record["cost_usd_per_ft"],
            record["low"],
            record["high"],
            role="bad" if charged is not None and record["cost_usd_per_ft"] > charged else "plain",
        )
        for record in sizes
    )
    source = Source("measures.season_cost", f"season={results.season}, branch=all")
    reference = figure("charged_usd_per_ft", season, source, label="mean price charged")
    small, large = sizes[0], sizes[-1]
    if len(sizes) > 1:
        title = say(
            "A foot costs {} in a job of {} and {} in one of {}",
            _size_figure(small, "cost_usd_per_ft", "usd_cents"),
            _size_figure(small, "feet", "feet"),
            _size_figure(large, "cost_usd_per_ft", "usd_cents"),
            _size_figure(large, "feet", "feet"),
        )
    else:
        title = say("What a foot costs, by the size of the job")
    return Chart(
        "cost_by_size", "dots", title, Axis("dollars per foot, all costs", "usd/ft", "usd_per_ft"), "size of job",
        (Series("cost", "Cost of a foot", points),), "(going there + feet x mean foot) / feet, with overhead, and its "
        "95 % interval", Source("decisions.cost_by_size", f"season={results.season}"),
        references=(reference,) if charged is not None else (),
    )  # fmt: skip


def _size_figure(record: Record, key: str, form: str) -> Figure:
    place = f"{record['feet']:.0f}"
    source = Source("decisions.cost_by_size", f"season={record['season']}, feet={place}")
    unit = "ft" if key == "feet" else "usd/ft"
    definition = "size of the job" if key == "feet" else "cost of a foot in a job of this size, with overhead"
    return Figure(f"cost_of_a_job_of_{place}_ft.{key}", "by size", record[key], form, unit, definition, source)


def _limit_table(limits: dict[str, Record], season: int) -> Table:
    """Each limit with its interval; an end that is without bound is left open and said so."""
    columns = (
        words("what", "What follows"),
        column("amount_usd", heading="Value", unit="", format="number", definition="the value, in the unit beside it"),
        Column("low", "From", "", "number", "lower 95 % limit"),
        Column("high", "To", "", "number", "upper 95 % limit; open where it is without bound"),
        words("unit", "Unit"),
    )
    rows = []
    for what, (name, _, _) in LIMIT_WORDS.items():
        if what in limits:
            record = limits[what]
            values = {"what": name, "amount_usd": record["value"], "unit": record["unit"]}
            values |= {"low": record["low"], "high": record["high"]}
            source = Source("decisions.cost_limits", f"season={season}, what={what}")
            rows.append(row(values, columns, what, source))
    return table("cost_limits", "What follows for the smallest jobs", columns, rows)


def _line_table(lines: list[Record], by_price: Figure | None) -> Table:
    columns = (
        words("what", "What"),
        column("jobs", definition="jobs with feet of it"),
        column("feet"),
        estimate("direct_usd", "low", "high"),
        Column("variable_usd", "Overhead, varying", "usd", "usd_cents", "variable overhead by its basis"),
        Column("fixed_usd", "Overhead, fixed", "usd", "usd_cents", "fixed overhead by its basis"),
        estimate("full_usd", "full_low", "full_high"),
    )
    rows = rows_by(lines, columns, "decisions.cost_function", ("season", "line"))
    said = say("Overhead by revenue is not in these lines: it takes {} of any price.", by_price) if by_price else None
    return table("cost_function", "Going there, and each foot by surface and stories", columns, rows, said)


def _work_table(lines: list[Record]) -> Table:
    columns = (words("what", "Kind of work"), column("feet"), estimate("more_usd", "low", "high"))
    records = [line | {"more_usd": line["direct_usd"]} for line in lines]
    rows = rows_by(records, columns, "decisions.cost_function", ("season", "line"))
    return table("cost_of_work", "By how much a foot of each kind of work differs from the mean foot", columns, rows)
