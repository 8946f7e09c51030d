"""Put corrected rows in the place of those at their origin, each once, whichever workbooks of rejects are in a folder.

A row that came back is a version: it names the versions that it was made from, so that of several the last one counts,
whether an older workbook was overwritten or lies beside the new one. Cells left as they were shown keep the text of the
origin. What cannot be counted for certain is reported and kept apart, and the row of origin stands:

- left as it was: the row of origin stands, whatever has become of it, and nothing is said;
- every cell deleted: the same, with a warning; so too a deleted row, of which nothing is left to see;
- the origin is not there (file changed, or no record in that row), or none is named: an error;
- two corrections, neither made from the other, that differ: an error for both. Equal ones count once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pipeline.workbook.corrected import Corrected, Folder, Told, read_row
from pipeline.workbook.corrections import PutBackSheet
from pipeline.workbook.origins import Correction, NotApplied, Origin, Place
from pipeline.workbook.putting import put_back_readings, set_aside_origins
from pipeline.workbook.readings import FolderReading, SheetReading, Trouble


@dataclass(frozen=True)
class _Outcome:
    """What became of the rows: corrections, those taken back, why other rows are set aside, and what is wrong."""

    winners: dict[Place, Corrected]
    corrections: list[Correction]
    taken_back: list[Correction]
    aside: dict[Place, str]
    troubles: list[Trouble]
    lost: list[NotApplied]


def _alive(claims: Sequence[Corrected]) -> list[Corrected]:
    """The claims that no other was made from."""
    return [one for one in claims if not any(one.id in other.seen and one.id != other.id for other in claims)]


def _history(winner: Corrected, claims: Sequence[Corrected]) -> tuple[str, ...]:
    others = [version for claim in claims for version in (*claim.seen, claim.id)]
    return (*(version for version in dict.fromkeys([*winner.seen, *others]) if version != winner.id), winner.id)


def _dispute(out: _Outcome, alive: list[Corrected]) -> None:
    """Two corrections of one row differ: both are reported, and neither counts."""
    for claim in alive:
        other = next(one for one in alive if one.new != claim.new)
        text = f"corrects {claim.origin_text} otherwise than {other.at} does; neither is counted and that row stands"
        how = "delete the wrong one of the two, or correct the row once more in the new rejects.xlsx: that one counts"
        out.troubles.append(
            Trouble(claim.at.file, claim.at.sheet, claim.at.row, None, None, "corrections_of_a_row_agree", "error",
                    text, how)
        )  # fmt: skip
        versions = tuple(dict.fromkeys((*claim.seen, claim.id)))
        out.lost.append(NotApplied(claim.at, claim.claimed, claim.cells, text, claim.origin, versions))
        out.aside[claim.at] = "disputed correction"


def _settle(out: _Outcome, claims: list[Corrected]) -> None:
    """The claims to one origin: which one counts, if any."""
    alive = _alive(claims)
    for claim in claims:
        if claim not in alive:
            out.aside[claim.at] = f"superseded by {alive[0].at}"
    if any(claim.new != alive[0].new for claim in alive):
        _dispute(out, alive)
        return
    winner = alive[0]
    out.aside.update({claim.at: f"the same as {winner.at}" for claim in alive[1:]})
    history = _history(winner, claims)
    said = Correction(winner.origin, winner.at, winner.reading.table or "", winner.old, winner.new, history)
    if winner.is_as_at_origin:
        # What was taken back is remembered: an older workbook that comes back must not bring it up again.
        out.aside[winner.at] = "the row of origin again"
        out.taken_back.append(said)
    else:
        out.winners[winner.at] = winner
        out.corrections.append(said)


def apply_corrections(reading: FolderReading, sheets: Sequence[PutBackSheet]) -> FolderReading:
    """A folder's reading with its corrections in force.

    `sheets` are those of the workbooks that were put back; `reading` holds each of them whole, as set aside. Every row
    stays accounted for once: a corrected one is set aside at its origin and a record where it was put right.
    """
    folder = Folder.of(reading)
    out = _Outcome({}, [], [], {}, [], [])
    by_origin: dict[Origin, list[Corrected]] = defaultdict(list)
    for sheet in sheets:
        for row in sheet.rows:
            claim = read_row(folder, sheet, row)
            if isinstance(claim, Corrected):
                by_origin[claim.origin].append(claim)
            else:
                _tell(out, claim)
    for claims in by_origin.values():
        _settle(out, claims)
    put_back = {(sheet.file, sheet.sheet): sheet for sheet in sheets}
    readings: list[SheetReading] = []
    for one in set_aside_origins(reading.sheets, out.corrections):
        own = put_back.get((one.file, one.sheet))
        readings += put_back_readings(own, out.winners, out.aside) if own else [one]
    return replace(
        reading,
        sheets=tuple(readings),
        troubles=(*reading.troubles, *out.troubles),
        corrections=tuple(out.corrections),
        not_applied=tuple(out.lost),
        taken_back=tuple(out.taken_back),
    )


def _tell(out: _Outcome, told: Told) -> None:
    out.aside[told.at] = told.why
    if told.trouble:
        out.troubles.append(told.trouble)
    if told.lost:
        out.lost.append(told.lost)
