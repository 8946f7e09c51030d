"""Writes the season that is kept in reports/ to be read, from the demo: python -m tests.support.sample

Pages, figures and rejected rows are kept, and one report on paper; `perfoot demo` makes the others in seconds.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from pipeline import cli
from pipeline.flows.indexing import write_index

REPORTS = Path(__file__).resolve().parents[2] / "reports"
SEASON = "2025"
KEPT = (
    "owner.html", "owner.pdf", "manager.html", "buyer.html", "crew-sheet.html", "rate-card.html", "intake.html",
    "figures.json", "rejects.xlsx",
)  # fmt: skip
"""What is kept of a season's files: enough to see each kind, and little enough to travel with the code."""


def keep(closed: Path, reports: Path = REPORTS) -> None:
    """Copy the kept files of a closed demo, and write the index over what lies there."""
    folder = reports / SEASON
    folder.mkdir(parents=True, exist_ok=True)
    for name in KEPT:
        shutil.copyfile(closed / "reports" / SEASON / name, folder / name)
    write_index(reports)


def main() -> int:
    """Close the demo into a folder that goes away, and keep its last season."""
    with tempfile.TemporaryDirectory() as out:
        code = cli.main(["demo", "--direct", "--quiet", "--out", out])
        if code == 0:
            keep(Path(out))
        return code


if __name__ == "__main__":
    sys.exit(main())
