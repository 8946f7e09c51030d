"""How long reading, typing and validating take, beside the reading alone of the library used.

    python3 -m pipeline.setup python -m tests.bench.intake [RUNS]

A workbook of a million cells stands beside python-calamine giving the same sheets as Python lists; a season of a
million rows of CSV beside DuckDB loading the same files into typed tables: in memory with the types that it finds
itself, with the types of our own records, and with those into the file of a store. The aims are 2 and 1.5 times.
"""

from __future__ import annotations

import io
import sys
import tempfile
from pathlib import Path

import duckdb
from python_calamine import CalamineWorkbook

from pipeline.validation import check_folder
from pipeline.vocabulary import tables
from pipeline.workbook import read_folder
from tests.bench import made_folders
from tests.bench.alternating import compare

IN_MEMORY = ":memory:"


def check(folder: Path) -> object:
    """Read, type and validate."""
    return check_folder(read_folder(folder))


def read_raw(path: Path) -> object:
    """The library's own reading, sheet after sheet."""
    book = CalamineWorkbook.from_filelike(io.BytesIO(path.read_bytes()))
    return [book.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in book.sheet_names]


def load(folder: Path, store: str, types: dict[str, dict[str, str]] | None = None) -> object:
    """DuckDB's tables of a folder's CSV files; without `types` it finds them itself."""
    if store != IN_MEMORY:
        Path(store).unlink(missing_ok=True)
    with duckdb.connect(store) as connection:
        for path in sorted(folder.glob("*.csv")):
            given = f", types = {types[path.stem]}" if types else ""
            source = f"read_csv('{path}', header = true{given})"
            connection.execute(f"create table {path.stem} as select * from {source}")
        return connection.sql("select count(*) from hours").fetchall()


def record_types(folder: Path) -> dict[str, dict[str, str]]:
    """For each file the types of our records, by its headings."""
    fields = {heading: name for name, heading in made_folders.HEADINGS.items()}
    types = {}
    for path in folder.glob("*.csv"):
        with path.open(encoding="utf-8") as lines:
            headings = lines.readline().strip().split(",")
        types[path.stem] = {heading: tables()[path.stem].fields[fields[heading]].sql_type for heading in headings}
    return types


def main(runs: int) -> None:
    """Make the inputs in a passing folder, then measure."""
    with tempfile.TemporaryDirectory() as place:
        hours = made_folders.workbook_of_hours(Path(place, "hours"))
        compare("xlsx, jobs and hours", lambda: check(hours), lambda: read_raw(hours / "season.xlsx"), runs)
        lines = made_folders.workbook_of_runs(Path(place, "runs"))
        compare("xlsx, jobs and runs", lambda: check(lines), lambda: read_raw(lines / "season.xlsx"), runs)
        season = made_folders.csv_season(Path(place, "csv"))
        types, store = record_types(season), str(Path(place, "store.duckdb"))
        compare("CSV, in memory, types found", lambda: check(season), lambda: load(season, IN_MEMORY), runs)
        compare("CSV, in memory, types given", lambda: check(season), lambda: load(season, IN_MEMORY, types), runs)
        compare("CSV, into a file, types given", lambda: check(season), lambda: load(season, store, types), runs)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
