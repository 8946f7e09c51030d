"""The buyer's report on light line: how it was cut, how it could have been, and which spools to buy."""

from __future__ import annotations

from decimal import Decimal

from pipeline.documents import wording
from pipeline.documents.build import Record, counted, listed, missing, note, row, rows_by, slug, table, without_empty
from pipeline.documents.columns import column, words
from pipeline.documents.model import Axis, Block, Chart, Column, Figure, Point, Series, Source, Table, Text, join, say
from pipeline.documents.parts import exact, share_of, total
from pipeline.documents.results import Results

SHARE = Axis("feet not fastened, of the feet fastened", "of feet fastened", "share")


def spool_blocks(results: Results) -> tuple[Block, ...]:
    """How the season's lines were cut, and the spools for next season, each with what is to be said of it."""
    blocks: list[Block] = [*_cutting(results)]
    plan = results.rows("decisions.spool_plan")
    if plan:
        blocks += [note(_plan_said(results, plan)), _plan_table(plan)]
    said = list(results.said("spools", "offcut"))
    if not plan and not said:
        blocks.append(missing("No spool plan can be given: it needs the runs of each job (level 3)."))
    return (*blocks, *(note(sentence) for sentence in said))


def _cutting(results: Results) -> list[Block]:
    lines = results.rows("decisions.offcut")
    if not lines:
        return []
    known = [line for line in lines if line["offcut_ft"] is not None]
    blocks: list[Block] = [note(_cutting_said(results, known))] if known else []
    chart = _chart(results, known)
    return [*blocks, *([chart] if chart else []), _offcut_table(results, lines)]


def _share_figure(results: Results, lines: list[Record], key: str, label: str, definition: str) -> Figure:
    value = share_of(total(line[f"{key}_ft"] for line in lines), total(line["feet"] for line in lines))
    return Figure(f"{key}_share", label, value, "share", "of feet fastened", definition,
                  Source("decisions.offcut", f"season={results.season}"))  # fmt: skip


def _cutting_said(results: Results, known: list[Record]) -> Text:
    """What was taken beyond the fastened feet, what need have been, and what the difference cost."""
    realized = _share_figure(
        results, known, "offcut", "line taken beyond the feet fastened",
        "line issued less returned on new jobs, less their fastened feet, over those feet",
    )  # fmt: skip
    possible = _share_figure(
        results, known, "possible", "the least that the same runs allow",
        "cutting behind a socket and ends too short to keep, over the fastened feet, in the best plan",
    )  # fmt: skip
    first = say("New work took {} more line than was fastened. Cut from the same spools with all runs known "
                "beforehand, {} would have done", realized, possible)  # fmt: skip
    saved = total(line["saved_usd"] for line in known)
    if saved is None:
        return say("{}.", first)
    if saved <= 0:
        return say("{}: there is nothing to be gained there.", first)
    worth = Figure("offcut_saved_usd", "line beyond the least possible", saved, "usd", "usd",
                   "(realized - least possible offcut) x the cost of a foot, over the lines",
                   Source("decisions.offcut", f"season={results.season}"))  # fmt: skip
    return say("{}; the difference is {} of line. It is an upper end: runs are not all known before the first cut.",
               first, worth)  # fmt: skip


def _chart(results: Results, known: list[Record]) -> Chart | None:
    if not known:
        return None
    realized, possible = [], []
    for line in known:
        key, label = slug(line["item_no"]), _name_of(line)
        realized.append(Point(key, label, exact(line["offcut_share"])))
        possible.append(Point(key, label, exact(line["possible_share"])))
    worst = max(known, key=lambda line: (line["offcut_share"], line["item_no"]))
    title = say("Most was cut away of {}: {} of what was fastened", str(worst["item_no"]), Figure(
        "worst_offcut_share", f"offcut of {worst['item_no']}", worst["offcut_share"], "share", "of feet fastened",
        "line taken on new jobs less the feet fastened, over those feet",
        Source("decisions.offcut", f"season={results.season}, item_no={worst['item_no']}"),
    ))  # fmt: skip
    return Chart(
        "offcut", "pairs", title, SHARE, "light line",
        (Series("realized", "as it was cut", tuple(realized)), Series("possible", "least possible", tuple(possible))),
        "line taken on new jobs beyond the feet fastened, and the least that the same runs allow, over those feet",
        Source("decisions.offcut", f"season={results.season}"),
    )  # fmt: skip


def _name_of(line: Record) -> str:
    """A line by its item, colour and spacing: `LL12G, green, 12 in apart`."""
    spacing = f"{Decimal(line['spacing_in']).normalize():f} in apart" if line["spacing_in"] is not None else ""
    about = ", ".join(word for word in (line["colour"] or "", spacing) if word)
    return f"{line['item_no']}, {about}" if about else str(line["item_no"])


def _offcut_table(results: Results, lines: list[Record]) -> Table:
    columns = without_empty(
        (
            words("item_no", "Item"),
            words("colour", "Colour"),
            Column("spacing_in", "Spacing", "in", "inches", "socket to socket"),
            words("spool_sizes", "Spools (ft)", "sizes of the spools bought in the season, else of the list"),
            Column("runs", "Runs", "runs", "count", "runs of new jobs"),
            column("feet", heading="Fastened"),
            Column("offcut_ft", "Taken beyond", "ft", "feet", "line issued less returned on new jobs, less feet"),
            Column("offcut_share", "Realized", "of feet", "share", "taken beyond over fastened feet"),
            Column("possible_ft", "Least possible", "ft", "feet", "offcut of the best plan for the same runs"),
            Column("possible_share", "Possible", "of feet", "share", "least possible over fastened feet"),
            Column("kept_ft", "Kept whole", "ft", "feet", "what that plan leaves on lengths worth keeping"),
            Column("saved_usd", "Difference", "usd", "usd", "(taken beyond - least possible) x the cost of a foot"),
        ),
        lines,
    )
    rows = rows_by(lines, columns, "decisions.offcut", ("season", "item_no"))
    title = "What was cut away of each light line, and what need have been"
    return table("offcut", title, columns, rows, _by_size_said(lines))


def _by_size_said(lines: list[Record]) -> str:
    """Whether the offcut can be told by spool size: movements name the item and not the spool that it came from."""
    mixed = [str(line["item_no"]) for line in lines if ", " in str(line["spool_sizes"] or "")]
    if not mixed:
        return "Each line came on spools of one size, so what was cut away is that size's."
    return (
        f"Movements name the line and not the spool: of {listed(mixed)}, bought in several sizes, the records do not "
        "tell how much was cut away of each size."
    )


def _plan_total(results: Results, plan: list[Record], key: str, name: str, label: str, definition: str) -> Figure:
    by_line = {line["item_no"]: line[key] for line in plan}
    return Figure(name, label, total(by_line.values()), "usd", "usd", definition,
                  Source("decisions.spool_plan", f"season={results.season + 1}"))  # fmt: skip


def _plan_said(results: Results, plan: list[Record]) -> Text:
    """The order's spools in a sentence: their price, what can be cut from them, and how near the best they are."""
    source = Source("decisions.spool_plan", f"season={results.season + 1}")
    price = total(exact(line["spools"]) * exact(line["pack_price"]) for line in plan)
    paid = Figure("spools_usd", "the order's spools", price, "usd", "usd", "sum of spools x price", source)
    spools = Figure("spool_plan_spools", "spools of the order", total(line["spools"] for line in plan), "count",
                    "spools", "spools of all sizes and lines", source)  # fmt: skip
    least = min(plan, key=lambda line: line["chance_covered"])
    covered = Figure("spool_plan_covered", "drawn seasons that the spools cover, of the line where they are fewest",
                     least["chance_covered"], "percent", "of drawn seasons",
                     "share of the drawn seasons whose runs can be cut from the line's stock, spools and top-up",
                     Source("decisions.spool_plan", f"season={least['season']}, item_no={least['item_no']}")
                     )  # fmt: skip
    cost = _plan_total(results, plan, "plan_usd", "spool_plan_usd", "light line in the end", "what the lines cost on "
                       "average: bought now, later and in a hurry, less the worth of what is left")  # fmt: skip
    bound = _plan_total(results, plan, "bound_usd", "spool_bound_usd", "the least that any order of line could cost",
                        "the same if every foot of every spool could be used")  # fmt: skip
    taken = counted(spools, "spool", "spools")
    first = say("The order takes {} for {}. Stock, these spools and what is bought later can be cut into the runs of "
                "{} of the drawn seasons, or more of them.", taken, paid, covered)  # fmt: skip
    proven = exact(cost.value) - exact(bound.value) < Decimal("0.5")  # type: ignore[arg-type]
    near = say("In the end light line comes to {} on average", cost)
    return join(first, Text((*near.parts, "; no order of it comes to less.")) if proven
                else say("{}; no order of it comes to less than {}.", near, bound))  # fmt: skip


def _plan_table(plan: list[Record]) -> Table:
    columns = without_empty(
        (
            words("colour", "Colour"),
            Column("spacing_in", "Spacing", "in", "inches", "socket to socket"),
            words("item_no", "Item"),
            Column("spool_size_ft", "Spool", "ft", "feet", "feet of light line on a spool"),
            Column("spools", "Spools", "spools", "count", "spools to buy"),
            column("pack_price", unit="usd/spool", definition="price of a spool"),
            column("order_by", unit=""),
            Column("feet", "Cut", "ft", "feet", "feet that the runs of the largest season that they hold take"),
            Column("offcut_ft", "Besides", "ft", "feet", "their other feet: offcut, replacements and what is left"),
            Column("chance_covered", "Covered", "of seasons", "percent", "share of drawn seasons cut from the line's "
                   "stock, spools and top-up"),
            Column("plan_usd", "In the end", "usd", "usd_cents", "what the line costs on average, all sizes: bought "
                   "now, later and in a hurry, less the worth of what is left"),
            Column("bound_usd", "No less than", "usd", "usd_cents", "the same if every foot of a spool could be used"),
        ),
        plan,
    )  # fmt: skip
    rows = rows_by(plan, columns, "decisions.spool_plan", ("season", "spacing_in", "colour", "spool_size_ft"))
    by_line = {line["item_no"]: line for line in plan}
    sums: Record = {"spools": total(line["spools"] for line in plan)}
    sums |= {key: total(line[key] for line in by_line.values()) for key in ("plan_usd", "bound_usd")}
    sums[columns[0].key] = "All"
    source = Source("decisions.spool_plan", f"season={plan[0]['season']}")
    return table("spool_plan", "The order's spools, by line and size", columns,
                 (*rows, row(sums, columns, "all", source, strong=True)), wording.SPOOL_TABLE_NOTE)  # fmt: skip
