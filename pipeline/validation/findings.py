"""Findings: what is wrong or doubtful in a row, where it stands and how to put it right."""

from __future__ import annotations

from dataclasses import dataclass, field

import polars as pl

from pipeline.workbook import SheetReading

SCHEMA = {
    "source_file": pl.String,
    "source_sheet": pl.String,
    "source_row": pl.Int64,
    "column_name": pl.String,
    "value": pl.String,
    "rule": pl.String,
    "severity": pl.String,
    "message": pl.String,
    "remedy": pl.String,
}
SEVERITIES = ("error", "held", "warning", "note")
"""An error rejects its row, `held` holds it for another row's sake; a warning and a note leave it accepted."""

Labels = dict[tuple[str, str, int, str], str]
"""A column as the person sees it, by file, sheet, part and field: `column D 'Length'`."""


def column_labels(sheets: tuple[SheetReading, ...]) -> Labels:
    """The label of every column read."""
    return {
        (sheet.file, sheet.sheet, sheet.part, column.field): f"column {column.letter} '{column.heading}'"
        for sheet in sheets
        for column in sheet.columns
    }


@dataclass
class Findings:
    """Collects findings; `at` takes the rows that offend, in the shape of a table's working frame."""

    labels: Labels
    frames: list[pl.DataFrame] = field(default_factory=list)

    def at(
        self, rows: pl.DataFrame, column: str | None, rule: str, severity: str, message: pl.Expr | str, remedy: str
    ) -> None:
        """Add one finding a row. `message` may use the row's columns; the value quoted is the cell as written."""
        if rows.is_empty():
            return
        written = f"raw:{column}"
        value = pl.col(written) if column and written in rows.columns else pl.lit(None, dtype=pl.String)
        found = rows.rechunk().select(
            "source_file",
            "source_sheet",
            "source_row",
            "part",
            value=value,
            rule=pl.lit(rule),
            severity=pl.lit(severity),
            message=pl.lit(message) if isinstance(message, str) else message,
            remedy=pl.lit(remedy),
        )
        keys = zip(found["source_file"], found["source_sheet"], found["part"], strict=True)
        names = [self._label(file, sheet, part, column) for file, sheet, part in keys]
        self.frames.append(
            found.drop("part").with_columns(pl.Series("column_name", names, dtype=pl.String)).select(list(SCHEMA))
        )

    def _label(self, file: str, sheet: str, part: int, column: str | None) -> str | None:
        if column is None:
            return None
        return self.labels.get((file, sheet, part, column), f"'{column.replace('_', ' ').capitalize()}'")

    def of_sheet(self, file: str, sheet: str, rule: str, severity: str, message: str, remedy: str) -> None:
        """Add a finding about a whole sheet or file."""
        row = dict.fromkeys(SCHEMA) | {
            "source_file": file,
            "source_sheet": sheet,
            "rule": rule,
            "severity": severity,
            "message": message,
            "remedy": remedy,
        }
        self.frames.append(pl.DataFrame([row], schema=SCHEMA))

    def frame(self) -> pl.DataFrame:
        """All findings, errors first, then by file, sheet, row and column; equal ones once."""
        if not self.frames:
            return pl.DataFrame(schema=SCHEMA)
        return (
            pl.concat(self.frames)
            .unique(maintain_order=True)
            .sort(
                pl.col("severity").cast(pl.Enum(list(SEVERITIES))),
                "source_file",
                "source_sheet",
                "source_row",
                "column_name",
                "rule",
                "message",
                nulls_last=False,
            )
        )
