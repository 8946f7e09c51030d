"""What checking a folder gives: accepted records, refused rows, findings, and counts that add up."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import polars as pl

from pipeline.settings import Settings
from pipeline.validation.state import NO_ROWS, State
from pipeline.vocabulary import ORIGIN, Table
from pipeline.workbook import FileRead, FolderReading, SheetReading


@dataclass(frozen=True)
class Checked:
    """A folder after checking.

    `records` holds the accepted rows of every table of which a sheet was found (no key: no sheet, so unknown);
    columns season, branch, the other fields, source_file, source_sheet, source_row. `refused` holds the rejected and
    held rows with the same columns and place, why. `refused_cells` holds their cells as they were written.
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


def rejected_share(checked: Checked) -> float:
    """Share of the records (rows that are neither blank, title, totals nor note) that were rejected."""
    accepted, rejected, held = checked.intake.select("accepted", "rejected", "held").sum().row(0)
    records = accepted + rejected + held
    return rejected / records if records else 0.0


def fill_defaults(state: State) -> None:
    """Fill what the description gives a default for."""
    season = state.season
    for name, working in state.tables.items():
        frame = working.frame
        for field in working.table.fields.values():
            if field.default is None or name == "workers":
                continue
            value = field.default if field.kind in ("choice", "name") else int(field.default)
            frame = frame.with_columns(pl.col(field.name).fill_null(pl.lit(value).cast(frame.schema[field.name])))
        state.replace(name, frame)
    if state.has("jobs"):
        until = pl.col("takedown_date").fill_null(pl.lit(date(season + 1, 1, 5)))
        nights = (until - pl.col("install_date")).dt.total_days().clip(0, 250).cast(pl.Int32)
        filled = state.all("jobs").with_columns(
            property_no=pl.coalesce("property_no", "customer_no"), lit_nights=pl.coalesce("lit_nights", nights)
        )
        state.replace("jobs", filled)
    if state.has("runs"):
        sockets = (pl.col("feet") * 12 / pl.col("spacing_in")).floor().cast(pl.Int32, strict=False)
        filled = state.all("runs").with_columns(sockets=pl.coalesce("sockets", sockets))
        state.replace("runs", filled.with_columns(fasteners=pl.coalesce("fasteners", "sockets")))


def record_columns(table: Table) -> list[str]:
    """Columns of a table's records, in the order of the store."""
    return ["season", "branch", *(name for name in table.fields if name != "branch"), *ORIGIN]


def _records(state: State, name: str, frame: pl.DataFrame) -> pl.DataFrame:
    table = state.tables[name].table
    branch = pl.col("branch") if "branch" in table.fields else pl.lit(None, dtype=pl.String)
    return frame.with_columns(season=pl.lit(state.season, dtype=pl.Int32), branch=branch)


def _refused(state: State, name: str) -> pl.DataFrame:
    rejected = state.rejected.get(name, NO_ROWS)
    held = state.held.get(name, NO_ROWS)
    held_only = held.filter(~held.is_in(rejected.implode()))
    frame = state.all(name).with_columns(
        place=pl.when(pl.col("rid").is_in(rejected.implode()))
        .then(pl.lit("rejected"))
        .when(pl.col("rid").is_in(held_only.implode()))
        .then(pl.lit("held"))
    )
    return frame.filter(pl.col("place").is_not_null())


def _why(refused: pl.DataFrame, findings: pl.DataFrame) -> pl.DataFrame:
    origin = list(ORIGIN)
    reasons = (
        findings.filter(pl.col("severity").is_in(["error", "held"]) & pl.col("source_row").is_not_null())
        .group_by(origin)
        .agg(why=pl.concat_str(pl.col("column_name").fill_null("row"), pl.lit(": "), pl.col("message")).str.join("; "))
    )
    return refused.join(reasons, on=origin, how="left", maintain_order="left")


def _counts(state: State, sheet: SheetReading) -> tuple[int, int, int, int]:
    if sheet.table is None:
        return 0, 0, 0, sheet.rows_read
    home = (
        (pl.col("source_file") == sheet.file) & (pl.col("source_sheet") == sheet.sheet) & (pl.col("part") == sheet.part)
    )
    places = _refused(state, sheet.table).filter(home)["place"]
    rejected, held = int((places == "rejected").sum()), int((places == "held").sum())
    return sheet.cells.height - rejected - held, rejected, held, sheet.set_aside.height


def intake_frame(state: State, reading: FolderReading) -> pl.DataFrame:
    """One row a table on a sheet: rows read = accepted + rejected + held + set aside."""
    rows = []
    for sheet in reading.sheets:
        accepted, rejected, held, aside = _counts(state, sheet)
        assert accepted + rejected + held + aside == sheet.rows_read, f"{sheet.file} {sheet.sheet}: rows do not add up"
        rows.append(
            {
                "source_file": sheet.file,
                "source_sheet": sheet.sheet,
                "part": sheet.part,
                "record_table": sheet.table,
                "rows_read": sheet.rows_read,
                "accepted": accepted,
                "rejected": rejected,
                "held": held,
                "set_aside": aside,
                "headings": ", ".join(f"{c.letter} '{c.heading}' as {c.field}" for c in sheet.columns),
                "left_out": "; ".join(f"{c.letter} '{c.heading}': {c.why}" for c in sheet.left_out),
                "note": sheet.note,
            }
        )
    counts = dict.fromkeys(("part", "rows_read", "accepted", "rejected", "held", "set_aside"), pl.Int64)
    texts = dict.fromkeys(("source_file", "source_sheet", "record_table", "headings", "left_out", "note"), pl.String)
    overrides: dict[str, type[pl.DataType]] = {**counts, **texts}
    return pl.DataFrame(rows, schema_overrides=overrides)


def build(state: State, reading: FolderReading) -> Checked:
    """Put the four places together; the counts must add up for every sheet."""
    findings = state.found.frame()
    records, refused, cells = {}, {}, {}
    for name, working in state.tables.items():
        columns = record_columns(working.table)
        records[name] = _records(state, name, state.accepted(name)).select(columns)
        out = _records(state, name, _why(_refused(state, name), findings))
        refused[name] = out.select([*columns, "place", "why"])
        raw = [pl.col(f"raw:{field}").alias(field) for field in working.table.fields]
        cells[name] = out.select([*ORIGIN, "place", "why", *raw])
    branches = tuple(sorted(records["jobs"]["branch"].unique().to_list())) if "jobs" in records else ()
    return Checked(
        season=state.season,
        branches=branches,
        settings=state.settings,
        records=records,
        refused=refused,
        refused_cells=cells,
        findings=findings,
        intake=intake_frame(state, reading),
        files=reading.files,
    )
