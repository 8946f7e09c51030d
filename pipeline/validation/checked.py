"""What checking a folder gives: accepted records, refused rows, findings, and counts that add up."""

from __future__ import annotations

from dataclasses import dataclass

import polars as pl

from pipeline.settings import Settings
from pipeline.validation.corrections import corrections_frame
from pipeline.validation.state import State, first_rows
from pipeline.vocabulary import ORIGIN, Table
from pipeline.workbook import FileRead, FolderReading

PLACES = ("accepted", "rejected", "held")
UNTOUCHED = "nothing but the example row is on it, so it tells nothing of"
"""A sheet of the blank workbook that was not filled in is as good as missing: unknown, never none."""
_SHEET = ["source_file", "source_sheet", "part"]


@dataclass(frozen=True)
class Checked:
    """A folder after checking.

    `records` holds the accepted rows of every table of which a sheet was found (no key: no sheet, so unknown);
    columns season, branch, the other fields, source_file, source_sheet, source_row. `refused` holds the rejected and
    held rows with the same columns and place, why. `refused_cells` holds their cells as they were written, with the
    part of their sheet. `corrections` has one row a cell that was changed in a workbook of rejected rows.
    """

    season: int
    branches: tuple[str, ...]
    settings: Settings
    records: dict[str, pl.DataFrame]
    refused: dict[str, pl.DataFrame]
    refused_cells: dict[str, pl.DataFrame]
    findings: pl.DataFrame
    intake: pl.DataFrame
    files: tuple[FileRead, ...]
    corrections: pl.DataFrame


def rejected_share(checked: Checked) -> float:
    """Share of the records (rows that are neither blank, title, totals nor note) that were rejected."""
    accepted, rejected, held = checked.intake.select(PLACES).sum().row(0)
    records = accepted + rejected + held
    return rejected / records if records else 0.0


def record_columns(table: Table) -> list[str]:
    """Columns of a table's records, in the order of the store."""
    return ["season", "branch", *(name for name in table.fields if name != "branch"), *ORIGIN]


def _records(state: State, name: str, frame: pl.DataFrame) -> pl.DataFrame:
    table = state.tables[name].table
    branch = pl.col("branch") if "branch" in table.fields else pl.lit(None, dtype=pl.String)
    return frame.with_columns(season=pl.lit(state.season, dtype=pl.Int32), branch=branch)


def _refused(state: State, name: str) -> pl.DataFrame:
    rejected = state.all(name).filter(state.is_rejected(name)).with_columns(place=pl.lit("rejected"))
    held = state.sound(name).filter(state.is_held(name))
    return pl.concat([rejected, held.with_columns(place=pl.lit("held"))]).sort("rid")


def _why(refused: pl.DataFrame, findings: pl.DataFrame) -> pl.DataFrame:
    origin = list(ORIGIN)
    reason = pl.concat_str(pl.col("column_name").fill_null("row"), pl.lit(": "), pl.col("message"))
    reasons = (
        findings.filter(pl.col("severity").is_in(["error", "held"]) & pl.col("source_row").is_not_null())
        .group_by(origin)
        .agg(why=reason.str.join("; "))
    )
    explained = refused.join(reasons, on=origin, how="left", maintain_order="left")
    assert explained.height == refused.height, "a row has its reasons once"
    assert not explained["why"].null_count(), "a refused row has no reason"
    return explained


def intake_frame(
    reading: FolderReading, counted: pl.DataFrame, others: dict[tuple[str, str, int], int]
) -> pl.DataFrame:
    """One row a table on a sheet: rows read = accepted + rejected + held + set aside.

    `counted` has how many rows of a sheet ended in each place; `others` counts a sheet's rows of branches
    that were not asked for.
    """
    counts = {tuple(row[:3]): row[3:] for row in _counts(counted).iter_rows()}
    rows = []
    for sheet in reading.sheets:
        home = (sheet.file, sheet.sheet, sheet.part)
        accepted, rejected, held = counts.get(home, (0, 0, 0))
        aside = sheet.set_aside.height + others.get(home, 0) + (sheet.cells.height if sheet.table is None else 0)
        assert accepted + rejected + held + aside == sheet.rows_read, f"{sheet.file} {sheet.sheet}: rows do not add up"
        rows.append(
            {
                "source_file": sheet.file,
                "source_sheet": sheet.sheet,
                "part": sheet.part,
                "record_table": None if sheet.is_untouched else sheet.table,
                "rows_read": sheet.rows_read,
                "accepted": accepted,
                "rejected": rejected,
                "held": held,
                "set_aside": aside,
                "headings": ", ".join(f"{c.letter} '{c.heading}' as {c.field}" for c in sheet.columns),
                "left_out": "; ".join(f"{c.letter} '{c.heading}': {c.why}" for c in sheet.left_out),
                "note": f"{UNTOUCHED} {sheet.table}" if sheet.is_untouched else sheet.note,
            }
        )
    numbers = dict.fromkeys(("part", "rows_read", *PLACES, "set_aside"), pl.Int64)
    texts = dict.fromkeys(("source_file", "source_sheet", "record_table", "headings", "left_out", "note"), pl.String)
    kinds: dict[str, type[pl.DataType]] = {**numbers, **texts}
    return pl.DataFrame(rows, schema_overrides=kinds)


def _counts(counted: pl.DataFrame) -> pl.DataFrame:
    rows = pl.col("rows")
    return counted.group_by(_SHEET).agg(rows.filter(pl.col("place") == place).sum().alias(place) for place in PLACES)


def _count(rows: pl.DataFrame, place: str) -> pl.DataFrame:
    """How many rows each sheet has, all of them in one place; the rows of a sheet mostly stand together."""
    sheets = rows.select(_SHEET)
    begins = first_rows(sheets)
    sizes = pl.concat([begins, pl.Series([rows.height], dtype=begins.dtype)]).diff().drop_nulls()
    return sheets[begins].with_columns(place=pl.lit(place), rows=sizes.cast(pl.Int64))


def _places(frames: list[pl.DataFrame]) -> pl.DataFrame:
    empty = pl.DataFrame(
        schema={
            "source_file": pl.String,
            "source_sheet": pl.String,
            "source_row": pl.Int64,
            "part": pl.Int64,
            "place": pl.String,
        }
    )
    return pl.concat([empty, *[frame.select(empty.columns) for frame in frames]])


def build(state: State, reading: FolderReading, others: dict[str, pl.DataFrame]) -> Checked:
    """Put the four places together; the counts must add up for every sheet."""
    findings = state.found.frame()
    records, refused, cells, placed, counted = {}, {}, {}, [], []
    for name, working in state.tables.items():
        columns = record_columns(working.table)
        accepted = state.accepted(name)
        records[name] = _records(state, name, accepted).select(columns)
        out = _records(state, name, _why(_refused(state, name), findings))
        refused[name] = out.select([*columns, "place", "why"])
        raw = [pl.col(f"raw:{field}").alias(field) for field in working.table.fields]
        cells[name] = out.select([*ORIGIN, "part", "place", "why", *raw])
        placed += [accepted.with_columns(place=pl.lit("accepted")), out]
        counted += [_count(accepted, "accepted"), *(_count(out.filter(pl.col("place") == p), p) for p in PLACES[1:])]
    aside = _places([frame.with_columns(place=pl.lit("other branch")) for frame in others.values()])
    counted_aside = {tuple(row[:3]): row[3] for row in aside.group_by(_SHEET).len().iter_rows()}
    return Checked(
        season=state.season,
        branches=tuple(records["jobs"]["branch"].unique().sort().to_list()),
        settings=state.settings,
        records=records,
        refused=refused,
        refused_cells=cells,
        findings=findings,
        intake=intake_frame(reading, pl.concat(counted), counted_aside),
        files=reading.files,
        corrections=corrections_frame(reading, _places(placed if reading.corrections else [])),
    )
