"""The manager's comparison of ways to cross a gap between rooflines; the cautions stand before it."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from pipeline.decisions.policy import CLEAR_CHOICE
from pipeline.documents import wording
from pipeline.documents.build import listed, note, row, slug, table, with_capital
from pipeline.documents.columns import words
from pipeline.documents.model import Block, Column, Figure, Section, Source, Table, Text, say
from pipeline.documents.results import Results

Record = dict[str, Any]

WAY_WORDS = {"cut": "a cut and a jumper", "cap": "sockets capped", "seal": "sockets removed and sealed"}
CLOSE = "too close to call"
_DEFINITION = "goods, making and failures of the way over the life of the light line"


def gap_section(results: Results) -> Section | None:
    """The cautions, then what is said, then the comparison; None where neither a way nor a reason is known."""
    records = results.rows("decisions.gap_crossings")
    said = [note(sentence, "missing") for sentence in results.said("gaps")]
    if not records and not said:
        return None
    cautions = [note(text, "caution") for text in (wording.GAP_CAUTION, wording.CODE_CAUTION)]
    blocks: list[Block] = [*cautions]
    if records:
        advised = all(r["allowed"] is True for r in records) and any(r["chance_cheapest"] for r in records)
        blocks += [note(text) for text in (_advice(results, records) if advised else [_no_advice(records)])]
        blocks.append(_table(results, records, advised))
    return Section("gaps", "Crossing a gap between rooflines", (*blocks, *said))


def _no_advice(records: list[Record]) -> Text:
    ways = list(dict.fromkeys(r["way"] for r in records))
    unsaid = [way for way in ways if next(r for r in records if r["way"] == way)["allowed"] is None]
    if not unsaid:
        return Text((f"Only one way has a price and is allowed: {WAY_WORDS[ways[0]]}.",))
    names = listed([f"gap_allowed:{way}" for way in unsaid])
    setting = "setting" if len(unsaid) == 1 else "settings"
    return Text(
        (
            "Which of these ways the maker's label and the local code allow is not in the records, so none is advised: "
            f"strike out what they forbid, and give the {setting} {names} as yes or no.",
        )
    )


def _by_spacing(records: list[Record]) -> list[tuple[float, list[Record]]]:
    """Records of each spacing, the one with most light line first."""
    spacings = sorted({(-(r["line_ft"] or 0), r["spacing_in"]) for r in records})
    return [(spacing, [r for r in records if r["spacing_in"] == spacing]) for _, spacing in spacings]


def answer(rows: list[Record]) -> str:
    """The cheapest way of one gap where it is clear, else that it is too close to call."""
    best = max(rows, key=lambda r: (r["chance_cheapest"] or 0, r["way"]))
    return WAY_WORDS[best["way"]] if (best["chance_cheapest"] or 0) >= CLEAR_CHOICE else CLOSE


def _gap(spacing: float, feet: int, season: int) -> Figure:
    return Figure(
        f"gaps.spacing_{slug(f'{spacing:g}')}.gap_{feet}.gap_ft", "gap", feet, "feet", "ft", "gap between rooflines",
        Source("decisions.gap_crossings", f"season={season}, spacing_in={spacing:g}, gap_ft={feet}"),
    )  # fmt: skip


def _advice(results: Results, records: list[Record]) -> list[Text]:
    """For each spacing, which way is cheapest over which gaps."""
    sentences = []
    for spacing, rows in _by_spacing(records):
        gaps = sorted({r["gap_ft"] for r in rows})
        answers = [(gap, answer([r for r in rows if r["gap_ft"] == gap])) for gap in gaps]
        width = Figure(
            f"gaps.spacing_{slug(f'{spacing:g}')}.spacing_in", "spacing", spacing, "quantity", "in", "socket to socket",
            Source("decisions.gap_crossings", f"season={results.season}, spacing_in={spacing:g}"),
        )  # fmt: skip
        said = Text(())
        for place, (what, group) in enumerate(groupby(answers, key=lambda pair: pair[1])):
            feet = [gap for gap, _ in group]
            one, two = _gap(spacing, feet[0], results.season), _gap(spacing, feet[-1], results.season)
            span = say("at {}", one) if len(feet) == 1 else say("from {} to {}", one, two)
            part = say("{} {}", span, f"it is {CLOSE}" if what == CLOSE else f"{what} cost least")
            said = say("{}{}{}", said, "; " if place else "", part)
        sentences.append(say("Line with a socket every {} in: {}.", width, said))
    return sentences


def _table(results: Results, records: list[Record], advised: bool) -> Table:
    """Ways beside each other by gap, for the spacing of which most was hung."""
    spacing, rows = _by_spacing(records)[0]
    ways = [way for way in WAY_WORDS if any(r["way"] == way for r in rows)]
    columns = [
        Column("gap_ft", "Gap", "ft", "count", "gap between rooflines"),
        Column("sockets", "Sockets in it", "each", "count", "gap x 12 / spacing, whole spacings"),
        *(
            Column(way, with_capital(WAY_WORDS[way]), "usd", "usd_cents", _DEFINITION, f"{way}_low", f"{way}_high")
            for way in ways
        ),
    ]
    if advised:
        columns.append(words("cheapest", "Costs least"))
    out = []
    for gap in sorted({r["gap_ft"] for r in rows}):
        of_gap = [r for r in rows if r["gap_ft"] == gap]
        record = {"gap_ft": gap, "sockets": of_gap[0]["sockets"], "cheapest": answer(of_gap)}
        for one in of_gap:
            record |= {one["way"]: one["total_usd"], f"{one['way']}_low": one["low"], f"{one['way']}_high": one["high"]}
        where = f"season={results.season}, spacing_in={spacing:g}, gap_ft={gap}"
        out.append(row(record, columns, f"gap_{gap}", Source("decisions.gap_crossings", where)))
    seasons = Figure("gaps.seasons", "life of the light line", rows[0]["seasons"], "quantity", "seasons",
                     "seasons that the light line lasts", Source("decisions.gap_crossings", where))  # fmt: skip
    width = Figure("gaps.spacing_in", "spacing", spacing, "quantity", "in", "socket to socket",
                   Source("decisions.gap_crossings", where))  # fmt: skip
    title = "Ways of crossing a gap, over the life of the line"
    return table("gaps", title, columns, out, say("Light line with a socket every {} in, over {} seasons.", width,
                                                  seasons))  # fmt: skip
