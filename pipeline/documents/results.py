"""All that a document may speak of: the store's tables of a season, the settings in force, and what was noted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from pipeline.settings import Settings

if TYPE_CHECKING:
    import polars as pl

Record = dict[str, Any]


@dataclass(frozen=True)
class Results:
    """A season's results.

    `tables` has a frame by its name in the store, this season's rows (`decisions` about next season: that
    season's rows; `all:` before a name: every season's). A frame may be missing or empty. `level` is 1 to 4,
    or 0 where the records were checked and not loaded. `notes` are the decisions' own remarks, by decision.
    """

    season: int
    firm: str | None
    level: int
    tables: dict[str, pl.DataFrame]
    settings: Settings
    notes: dict[str, list[str]] = field(default_factory=dict)

    def rows(self, name: str, **where: object) -> list[Record]:
        """Rows of a table as dictionaries, those whose columns equal `where`; none if the table is missing."""
        frame = self.tables.get(name)
        if frame is None:
            return []
        return [row for row in frame.to_dicts() if all(row.get(key) == value for key, value in where.items())]

    def row(self, name: str, **where: object) -> Record | None:
        """The first such row, or None."""
        rows = self.rows(name, **where)
        return rows[0] if rows else None

    def said(self, *names: str) -> Iterable[str]:
        """What the decisions of these names noted, each sentence once."""
        return dict.fromkeys(sentence for name in names for sentence in self.notes.get(name, []))

    @property
    def season_label(self) -> str:
        """A season spans two years: 2025 is `2025/26`."""
        return label_of(self.season)


def label_of(season: int) -> str:
    """`2025/26` for season 2025."""
    return f"{season}/{(season + 1) % 100:02d}"
