"""Findings: what is wrong or doubtful in a row, where it stands and how to put it right."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import polars as pl

from pipeline.errors import TooMuchRejected
from pipeline.workbook import SheetReading, Trouble

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
LONGEST_QUOTE = 60
"""Characters of a cell that a message quotes; the finding's value has all of them."""

MOST_FINDINGS = 500_000
"""Findings of a folder: each takes up to 1,400 bytes until it is said, and nobody reads so many."""

_SHEET = ("source_file", "source_sheet", "part")


def column_labels(sheets: tuple[SheetReading, ...]) -> pl.DataFrame:
    """The label of every column read as the person sees it: `column D 'Length'`, by file, sheet, part and field."""
    rows = [
        (sheet.file, sheet.sheet, sheet.part, column.field, f"column {column.letter} '{column.heading}'")
        for sheet in sheets
        for column in sheet.columns
    ]
    kinds = {"source_file": pl.String, "source_sheet": pl.String, "part": pl.Int64}
    return pl.DataFrame(rows, schema={**kinds, "field": pl.String, "label": pl.String}, orient="row")


def quoted(name: str) -> pl.Expr:
    """A field's cell as written, in quotes and not too long, for a message; the value where there is no cell."""
    text = pl.coalesce(pl.col(f"raw:{name}"), pl.col(name).cast(pl.String))
    short = pl.concat_str(text.str.head(LONGEST_QUOTE), pl.lit("..."))
    shown = pl.when(text.str.len_chars() > LONGEST_QUOTE).then(short).otherwise(text)
    return pl.concat_str(pl.lit('"'), shown, pl.lit('"'))


def _too_many(found: dict[str, Any]) -> str:
    sheet = f", sheet '{found['source_sheet']}'" if found["source_sheet"] else ""
    where = f"{found['source_file']}{sheet}, row {found['source_row']}, {found['column_name'] or 'the row'}"
    return (
        f"more than {MOST_FINDINGS:,} things are wrong, too many to be said: nothing is loaded. Mend first "
        f"{where}: {found['message']}; {found['remedy']}."
    )


@dataclass
class Findings:
    """Collects findings; `at` takes the rows that offend, in the shape of a table's working frame."""

    labels: pl.DataFrame
    frames: list[pl.DataFrame] = field(default_factory=list)
    count: int = 0

    def at(
        self, rows: pl.DataFrame, column: str | None, rule: str, severity: str, message: pl.Expr | str, remedy: str
    ) -> None:
        """Add one finding a row. `message` may use the row's columns; the value quoted is the cell as written.

        Raises TooMuchRejected where there are more than can be said.
        """
        if rows.is_empty():
            return
        self.count += rows.height
        if self.count > MOST_FINDINGS:
            rows = rows.head(1)
        written = f"raw:{column}"
        value = pl.col(written) if column and written in rows.columns else pl.lit(None, dtype=pl.String)
        found = rows.rechunk().select(
            *_SHEET,
            "source_row",
            value=value,
            rule=pl.lit(rule),
            severity=pl.lit(severity),
            message=pl.lit(message) if isinstance(message, str) else message,
            remedy=pl.lit(remedy),
        )
        self.frames.append(self._labelled(found, column).select(list(SCHEMA)))
        if self.count > MOST_FINDINGS:
            raise TooMuchRejected(_too_many(self.frames[-1].row(0, named=True)))

    def _labelled(self, found: pl.DataFrame, column: str | None) -> pl.DataFrame:
        if column is None:
            return found.with_columns(column_name=pl.lit(None, dtype=pl.String))
        labels = self.labels.filter(pl.col("field") == column).drop("field")
        named = found.join(labels, on=_SHEET, how="left", maintain_order="left")
        assert named.height == found.height, f"{column}: a sheet has two columns of this field"
        # A sheet need not have the column: what is missing there is called by the field's own heading.
        own = f"'{column.replace('_', ' ').capitalize()}'"
        return named.with_columns(column_name=pl.col("label").fill_null(own))

    def of_reading(self, troubles: Iterable[Trouble]) -> None:
        """Add what the reading found wrong."""
        rows = [
            {
                "source_file": trouble.file,
                "source_sheet": trouble.sheet,
                "source_row": trouble.row,
                "column_name": trouble.column,
                "value": trouble.value,
                "rule": trouble.rule,
                "severity": trouble.severity,
                "message": trouble.message,
                "remedy": trouble.remedy,
            }
            for trouble in troubles
        ]
        if rows:
            self.frames.append(pl.DataFrame(rows, schema=SCHEMA))

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
