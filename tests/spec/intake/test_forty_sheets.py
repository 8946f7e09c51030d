"""A firm's whole season in one workbook of forty sheets, and one that keeps the least that is needed, both go in."""

from __future__ import annotations

from collections import Counter
from datetime import date
from decimal import Decimal
from pathlib import Path

from support.checking import checked_folder, plain_season, record_bytes
from support.sheets import Grid, grid, typed, write_book, write_csv
from support.small_season import Record, small_season

from pipeline import cli
from pipeline.vocabulary import tables
from pipeline.warehouse import open_store

SHEETS, FOREIGN, EMPTY = 40, 3, 2
MENU: Grid = [["Menu for the party"], ["Soup", 12], ["Bread", 4.5]]


def forty_sheets() -> dict[str, Grid]:
    """The season's tables on 35 sheets, the long ones cut in pieces, among three foreign sheets and two empty ones."""
    parts: list[tuple[str, list[Record]]] = list(small_season().items())
    while len(parts) < SHEETS - FOREIGN - EMPTY:
        name, rows = longest = max(parts, key=lambda part: len(part[1]))
        parts.remove(longest)
        parts += [(name, rows[: len(rows) // 2]), (name, rows[len(rows) // 2 :])]
    book: dict[str, Grid] = {"Party": MENU, "Sheet2": []}
    for number, (name, rows) in enumerate(parts, 1):
        title: Grid = [[f"Page {number}"], []] if number % 3 else []
        book[f"Page {number}"] = [*title, *grid(name, rows, cell=typed)]
    return book | {"Phones": [["Plumber", "555-0100"]], "Old prices": [["Item", "Was"], ["LL12", 140]], "Sheet40": []}


def test_forty_sheets_of_one_workbook_give_the_records_of_a_file_a_table(tmp_path: Path) -> None:
    folder = tmp_path / "forty"
    folder.mkdir()
    book = forty_sheets()
    assert len(book) == SHEETS
    write_book(folder / "all.xlsx", book, hidden=[f"Page {number}" for number in range(5, 35, 7)])
    expected, found = plain_season(), checked_folder(folder)
    for name in expected.records:
        assert record_bytes(found, name) == record_bytes(expected, name), name
    assert found.intake["source_sheet"].to_list() == list(book)
    unknown = found.intake.filter(found.intake["record_table"].is_null())
    assert Counter(unknown["set_aside"]) == Counter([0, 0, 1, 2, 3])
    assert found.findings.is_empty()
    assert cli.main(["close", str(folder), "--direct", "--quiet", "--out", str(tmp_path / "out")]) == 0


def level_one() -> dict[str, list[Record]]:
    """Jobs with feet, hours by worker and day, wages, what was bought in all, overheads."""
    season = small_season()
    feet: dict[tuple, Decimal] = {}
    for run in season["runs"]:
        job = run["branch"], run["job_no"]
        feet[job] = feet.get(job, Decimal(0)) + run["feet"]  # type: ignore[operator]
    jobs = [job | {"feet": feet[job["branch"], job["job_no"]]} for job in season["jobs"]]
    days: dict[tuple, Decimal] = {}
    for entry in season["hours"]:
        day = entry["work_date"], entry["crew"], entry["worker_no"]
        days[day] = days.get(day, Decimal(0)) + entry["hours"]  # type: ignore[operator]
    hours = [
        dict(zip(("work_date", "crew", "worker_no"), day, strict=True), hours=total) for day, total in days.items()
    ]
    bought = {"item_no": "ALL", "bought_date": date(2025, 9, 1), "packs": Decimal(1), "pack_size": Decimal(1),
              "paid": Decimal("2240.30")}  # fmt: skip
    return {"jobs": jobs, "hours": hours, "workers": season["workers"], "purchases": [bought],
            "overheads": season["overheads"]}  # fmt: skip


def test_a_folder_that_holds_level_one_records_alone_goes_in(tmp_path: Path) -> None:
    folder, out = tmp_path / "records", tmp_path / "out"
    folder.mkdir()
    kept = level_one()
    for name, rows in kept.items():
        order = [field for field in tables()[name].fields if field in rows[0]]
        write_csv(folder / f"{name}.csv", grid(name, rows, order=order))
    checked = checked_folder(folder)
    assert {name: frame.height for name, frame in checked.records.items()} == {n: len(rows) for n, rows in kept.items()}
    assert checked.intake["accepted"].sum() == sum(map(len, kept.values()))
    assert cli.main(["close", str(folder), "--direct", "--quiet", "--out", str(out)]) == 0
    with open_store(out / "perfoot.duckdb", read_only=True) as store:
        assert store.read("measures.season_level")["level"].unique().to_list() == [1]
        costs = store.read("measures.job_cost")
    # What was bought in all is borne by the jobs, to the cent.
    assert costs["materials_usd"].sum() == Decimal("2240.30")
