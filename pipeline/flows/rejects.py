"""From what was refused to rejects.xlsx: the rows by their sheet of origin, whichever file they were last read from."""

from __future__ import annotations

import hashlib
import itertools
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipeline.flows.writing import write_whole
from pipeline.vocabulary import tables

if TYPE_CHECKING:
    from pipeline.flows.stages import SeasonInHand
    from pipeline.render.rejects import RejectedRow, Rejects, RejectsSheet
    from pipeline.validation import Checked
    from pipeline.workbook import FolderReading, SheetReading
    from pipeline.workbook.origins import Correction, NotApplied, Origin, Place

NAME = "rejects.xlsx"
MOST_HELD = 100_000
"""Held rows that are written: they wait for others, and a workbook of more takes long to open."""
WAITS = frozenset({"the_job_was_accepted", "every_share_of_a_run_is_known"})
"""Rules by which a row is held for another row's sake alone: no cell of it is at fault."""
ALSO_AT_FAULT = {"the_branch_of_a_job_is_certain": "branch"}
"""Rules that are mended in another column than the one that they name."""
NOT_COUNTED = "not counted"
_ORDER = {"rejected": 0, "held": 1}
_LAST = 2
Finding = dict[str, Any]
Key = tuple[str, str, int]
Labels = dict[str | None, tuple[str | None, str]]
"""A column as findings call it, its field, and its heading as the reason says it."""


@dataclass(frozen=True)
class _Row:
    """A row to be written: its place and reasons, its cells and the faulty ones by field."""

    origin: Origin
    place: str
    why: str
    cells: dict[str, str | None]
    faulty: frozenset[str]
    correction: Correction | None


@dataclass
class _Sheet:
    """Rows of one sheet of origin while they are gathered, and the fields that stand on it with their headings."""

    reading: SheetReading
    headings: dict[str, str]
    rows: list[_Row] = field(default_factory=list)

    def add(self, row: _Row) -> None:
        """Add a row; a field at fault that the sheet of origin has no column for gets one of its own."""
        filled = {name for name, text in row.cells.items() if text is not None}
        described = tables()[self.reading.table or ""].fields
        for name in sorted((filled | row.faulty) - self.headings.keys()):
            self.headings[name] = described[name].heading
        self.rows.append(row)


class _Gathering:
    """What is known of the folder's rows, by the place in which each was last read."""

    def __init__(self, reading: FolderReading, checked: Checked) -> None:
        self.digests = {file.path: file.sha256 for file in reading.files}
        self.readings = {(sheet.file, sheet.sheet, sheet.part): sheet for sheet in reading.sheets}
        self.corrections = {one.at: one for one in reading.corrections}
        self.taken_back = {one.origin: one for one in reading.taken_back}
        self.findings = _findings_by_row(checked)
        self.rivals: dict[Origin, list[str]] = defaultdict(list)
        for one in reading.not_applied:
            if one.rival is not None:
                self.rivals[one.rival] += one.versions
        self.sheets: dict[Key, _Sheet] = {}
        self.labels: dict[Key, Labels] = {}

    def sheet_of(self, origin: Origin) -> _Sheet:
        """The sheet on which a row of this origin is written."""
        key = (origin.file, origin.sheet, origin.part)
        if key not in self.sheets:
            reading = self.readings[key]
            self.sheets[key] = _Sheet(reading, {column.field: column.heading for column in reading.columns})
        return self.sheets[key]

    def labels_of(self, reading: SheetReading) -> Labels:
        """The columns of a sheet as findings call them; no column is a whole row."""
        key = (reading.file, reading.sheet, reading.part)
        if key not in self.labels:
            fields = tables()[reading.table or ""].fields.items()
            own: Labels = {f"'{described.heading}'": (name, f"{described.heading}: ") for name, described in fields}
            read: Labels = {
                f"column {column.letter} '{column.heading}'": (column.field, f"{column.heading}: ")
                for column in reading.columns
            }
            self.labels[key] = {None: (None, "")} | own | read
        return self.labels[key]

    def add_refused(self, source: Place, part: int, place: str, cells: dict[str, str | None]) -> None:
        """Add a rejected or held row."""
        from pipeline.workbook.origins import Origin

        correction = self.corrections.get(source)
        here = Origin(source.file, self.digests[source.file], source.sheet, source.row, part)
        origin = correction.origin if correction else here
        read = self.readings[source.file, source.sheet, part]
        why, faulty = _reasons(self.labels_of(read), self.findings.get(source, []))
        self.sheet_of(origin).add(
            _Row(origin, place, why, cells, faulty, correction or self.taken_back.pop(origin, None))
        )

    def sheet_to_write(self, sheet: _Sheet) -> RejectsSheet:
        """A sheet as the writer takes it: rejected rows first, then held ones, then those that count."""
        from pipeline.render.rejects import RejectsSheet

        rows = sorted(sheet.rows, key=lambda row: (_ORDER.get(row.place, _LAST), row.origin.row))
        file, name = sheet.reading.file, sheet.reading.sheet
        source = f"{file}, sheet '{name}'" if name else file
        return RejectsSheet(
            name or Path(file).stem,
            source,
            tuple(sheet.headings.values()),
            tuple(self._written(sheet, row) for row in rows),
        )

    def _written(self, sheet: _Sheet, row: _Row) -> RejectedRow:
        from pipeline.render.rejects import RejectedRow
        from pipeline.workbook.origins import content_of, version_of, versions_text

        cells = tuple(row.cells.get(name) for name in sheet.headings)
        content = content_of(zip(sheet.headings.values(), cells, strict=True))
        versions = row.correction.versions if row.correction else (version_of((), content),)
        rivals = [version for version in dict.fromkeys(self.rivals[row.origin]) if version not in versions]
        origin = row.origin
        return RejectedRow(
            row.place,
            row.why,
            cells,
            frozenset(at for at, name in enumerate(sheet.headings) if name in row.faulty),
            (
                *(origin.file, origin.sha256, origin.sheet, str(origin.row), str(origin.part)),
                versions_text(content, versions, rivals),
            ),
        )


def _findings_by_row(checked: Checked) -> dict[Place, list[Finding]]:
    from pipeline.workbook.origins import Place

    found: dict[Place, list[Finding]] = defaultdict(list)
    for finding in checked.findings.iter_rows(named=True):
        if finding["severity"] in ("error", "held") and finding["source_row"] is not None:
            found[Place(finding["source_file"], finding["source_sheet"], finding["source_row"])].append(finding)
    return found


def _reasons(labels: Labels, findings: list[Finding]) -> tuple[str, frozenset[str]]:
    """Why a row is refused, a line a reason, and the fields at fault."""
    lines, faulty = [], set()
    for finding in findings:
        if finding["column_name"] not in labels:
            continue  # It speaks of another table that stands beside this one.
        name, heading = labels[finding["column_name"]]
        lines.append(f"{heading}{finding['message']}; {finding['remedy']}")
        if finding["rule"] not in WAITS:
            at_fault = ALSO_AT_FAULT.get(finding["rule"], name)
            faulty |= {at_fault} if at_fault else set()
    return "\n".join(lines), frozenset(faulty)


def _refused_rows(checked: Checked) -> Iterator[tuple[Place, int, str, dict[str, str | None]]]:
    from pipeline.workbook.origins import Place

    for frame in checked.refused_cells.values():
        for row in frame.iter_rows(named=True):
            source = Place(row.pop("source_file"), row.pop("source_sheet"), row.pop("source_row"))
            part, place, _ = row.pop("part"), row.pop("place"), row.pop("why")
            yield source, part, place, row


def _not_counted(lost: tuple[NotApplied, ...]) -> list[RejectsSheet]:
    """Rows that came back and could not be used, under the headings that they came back with; equal ones once."""
    from pipeline.render.rejects import RejectedRow, RejectsSheet

    groups: dict[tuple[str, tuple[str, ...]], dict[object, RejectedRow]] = defaultdict(dict)
    for one in lost:
        cells = tuple(text for _, text in one.cells)
        row = RejectedRow(NOT_COUNTED, one.why, cells, frozenset(), one.claimed)
        groups[one.at.file, tuple(heading for heading, _ in one.cells)].setdefault((cells, one.claimed), row)
    return [
        RejectsSheet(NOT_COUNTED, f"corrections in {file}", headings, tuple(rows.values()))
        for (file, headings), rows in groups.items()
    ]


def rejects_of(reading: FolderReading, checked: Checked) -> Rejects | None:
    """The rows of a folder that wait to be put right, with the corrections in force; None where there are neither.

    Those in force are carried on, so that the new workbook may take the place of the one in which they were made.
    """
    from pipeline.render.rejects import Rejects
    from pipeline.workbook.origins import Place

    gathering = _Gathering(reading, checked)
    held = 0
    for source, part, place, cells in _refused_rows(checked):
        held += place == "held"
        if place != "held" or held <= MOST_HELD or source in gathering.corrections:
            gathering.add_refused(source, part, place, cells)
    placed = checked.corrections.select("source_file", "source_sheet", "source_row", "place").unique()
    ended = {Place(*row[:3]): row[3] for row in placed.iter_rows()}
    for one in reading.corrections:
        if ended[one.at] not in ("rejected", "held"):
            why = "corrected; leave it as it is"
            gathering.sheet_of(one.origin).add(_Row(one.origin, ended[one.at], why, one.new, frozenset(), one))
    for one in gathering.taken_back.values():
        why = "as it first was again; leave it as it is"
        gathering.sheet_of(one.origin).add(_Row(one.origin, "accepted", why, one.old, frozenset(), one))
    order = {key: at for at, key in enumerate(gathering.readings)}
    sheets = [
        gathering.sheet_to_write(gathering.sheets[key]) for key in sorted(gathering.sheets, key=order.__getitem__)
    ]
    sheets += _not_counted(reading.not_applied)
    return Rejects(checked.season, tuple(sheets), max(0, held - MOST_HELD)) if sheets else None


def write_rejects_workbook(hand: SeasonInHand, folder: Path) -> dict[str, Path]:
    """The rows to put right, beside the intake report; without any, the workbook of an earlier run goes.

    A workbook in which someone changed cells and that was not read this time is kept under another name.
    """
    from pipeline.render.rejects import is_as_written, write_rejects

    assert hand.reading is not None
    assert hand.checked is not None
    path = folder / NAME
    if path.exists() and not is_as_written(path):
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
        if digest not in {file.sha256 for file in hand.reading.files}:
            path.replace(_free_name(folder, "rejects changed"))
    rejects = rejects_of(hand.reading, hand.checked)
    if rejects is None:
        path.unlink(missing_ok=True)
        return {}
    write_whole(path, lambda part: write_rejects(rejects, part))
    return {"rejects": path}


def _free_name(folder: Path, stem: str) -> Path:
    numbers = itertools.chain([""], (f" {number}" for number in itertools.count(2)))
    names = (folder / f"{stem}{number}.xlsx" for number in numbers)
    return next(path for path in names if not path.exists())
