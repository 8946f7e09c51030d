"""Make the demo: python -m data_demo.make [FOLDER]"""

from __future__ import annotations

import csv
import io
import sys
from dataclasses import astuple, fields
from datetime import date
from pathlib import Path

from data_demo.make import layouts
from data_demo.make.demand import charge, first_season, next_season, number_jobs, send_crews
from data_demo.make.houses import Job
from data_demo.make.mistakes import plant_mistakes
from data_demo.make.realized import accepted_text, realized_text
from data_demo.make.records import Record, Season, fill_tables, work_season
from data_demo.make.truth import HERE, REALIZED_MARK, TRUTH_FILE, Truth, read_truth
from data_demo.make.writing import Grid, Layout, Planted, lay_out, planted, write_csv, write_workbook

BOOKS = {
    "people and pay.xlsx": ("workers", "pay"),
    "goods.xlsx": ("items", "purchases", "stock", "offers"),
    "costs.xlsx": ("overheads", "equipment", "settings"),
    "office.xlsx": ("quotes", "receipts"),
    "service.xlsx": ("service_calls", "connections"),
}


class Writer:
    """Writes a season's files into a folder and keeps where each mistake stands."""

    def __init__(self, truth: Truth, season: Season, folder: Path) -> None:
        self.truth, self.season, self.year = truth, season, season.season
        self.folder = folder / str(self.year)
        self.folder.mkdir(parents=True, exist_ok=True)
        self.planted: list[Planted] = []

    def grid(self, layout: Layout, rows: list, file: str, sheet: str) -> Grid:
        grid = lay_out(layout, rows)
        self.planted += planted(self.year, file, sheet, grid)
        return grid

    def book(self, file: str, sheets: list[tuple[str, Layout, list]], hidden: tuple[str, ...] = ()) -> None:
        write_workbook(
            self.folder / file, [(name, self.grid(layout, rows, file, name)) for name, layout, rows in sheets], hidden
        )

    def csv(self, file: str, layout: Layout, rows: list, delimiter: str = ",", encoding: str = "utf-8") -> None:
        write_csv(self.folder / file, self.grid(layout, rows, file, ""), delimiter, encoding)

    def write(self) -> None:
        """All files of the season."""
        tables = self.season.tables
        getattr(self, f"_write_{self.year}")(tables)

        def other(table: str) -> Layout:
            return layouts.other_layout(self.truth, self.year, table)

        for file, names in BOOKS.items():
            sheets = [(name.replace("_", " "), other(name), tables[name]) for name in names]
            self.book(file, sheets, hidden=("settings",) if self.year == 2024 else ())
        self.csv("materials.csv", other("materials"), tables["materials"])
        self.book("mileage log.xlsx", [("vans", other("trips"), tables["trips"])])
        self.csv("two colours.csv", other("run_bulbs"), tables["run_bulbs"], delimiter="\t")

    def _write_2023(self, tables: dict) -> None:
        truth = self.truth
        jobs = layouts.by(sorted(tables["jobs"], key=lambda r: (r["branch"], r["job_no"])), "branch")
        layout = layouts.job_layout(truth, 2023)
        self.book("jobs 2023.xlsx", [(f"{branch} jobs", layout, rows) for branch, rows in jobs.items()])
        months: dict[str, list] = {}
        for row in tables["hours"]:
            day = row["work_date"]
            key = f"{day:%Y-%m}" if isinstance(day, date) else f"{self.year}-11"
            months.setdefault(key, []).append(row)
        for month, rows in sorted(months.items()):
            self.csv(f"hours {month}.csv", layouts.hours_layout(truth, 2023, f"Hours {month}"), rows, delimiter=";")
        self.csv("runs.csv", layouts.run_layout(truth, 2023), tables["runs"], encoding="cp1252")

    def _write_2024(self, tables: dict) -> None:
        truth = self.truth
        chore_list = Layout("none", {"a": "To do", "b": "Who"}, titles=("Things to do before spring",))
        chores = [{"a": "Oil the gate", "b": "anyone"}, {"a": "Ask about the roof of the shed", "b": "the office"}]
        self.book(
            "season 2024.xlsx",
            [
                ("Jobs", layouts.job_layout(truth, 2024), tables["jobs"]),
                ("Runs", layouts.run_layout(truth, 2024), tables["runs"]),
                ("To do", chore_list, [Record(row) for row in chores]),
            ],
        )
        # A sheet a crew, by who worked: a name written otherwise stays on its crew's sheet.
        home = {worker["no"]: worker["crew"] for worker in truth["workers"]}
        crews: dict[str, list] = {}
        for row in tables["hours"]:
            crews.setdefault(home.get(row["worker_no"], row["crew"]), []).append(row)
        wrong = layouts.has_wrong_total(truth, 2024, "hours")
        sheets = [
            (crew, layouts.hours_layout(truth, 2024, f"Hours of {crew}", wrong_total=wrong and crew == "Lynx"), rows)
            for crew, rows in crews.items()
        ]
        self.book("hours by crew.xlsx", sheets)

    def _write_2025(self, tables: dict) -> None:
        truth = self.truth
        for branch, rows in layouts.by(tables["jobs"], "branch").items():
            self.csv(f"jobs {branch}.csv", layouts.job_layout(truth, 2025), rows, encoding="utf-8-sig")
        layout = layouts.hours_layout(truth, 2025, truth["firm"]["title"])
        for branch, rows in layouts.by(tables["hours"], "branch").items():
            self.csv(f"hours {branch}.csv", layout, rows, encoding="utf-16")
        self.book("runs.xlsx", [("runs", layouts.run_layout(truth, 2025), tables["runs"])])


def make_seasons(truth: Truth) -> list[Season]:
    """The three seasons with their records, before mistakes."""
    seasons: list[Season] = []
    stock: dict[str, int] = {}
    houses = truth["demand"]["first_season_jobs"]
    jobs: list[Job] = []
    for year in truth["seasons"]:
        before = jobs
        jobs = next_season(truth, year, before, houses) if before else first_season(truth)
        if before:
            houses += sum(job.work == "new" for job in jobs)
        number_jobs(truth, year, jobs)
        send_crews(truth, year, jobs)
        charge(truth, year, jobs)
        season = work_season(truth, year, jobs)
        kept = {job.house.property_no for job in jobs}
        gone = [job for job in before if job.house.property_no not in kept]
        fill_tables(truth, season, gone, stock)
        seasons.append(season)
    return seasons


def _write_mistakes(path: Path, rows: list[Planted]) -> None:
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([field.name for field in fields(Planted)])
    writer.writerows(astuple(row) for row in sorted(rows, key=lambda r: (r.season, r.file, r.sheet, r.row)))
    path.write_text(out.getvalue(), encoding="utf-8")


def make(folder: Path) -> None:
    """Write the three seasons, mistakes.csv and truth.toml into a folder."""
    truth = read_truth()
    seasons = make_seasons(truth)
    came_true = realized_text(truth, seasons)
    rows: list[Planted] = []
    for season in seasons:
        plant_mistakes(truth, season)
        came_true += "\n" + accepted_text(season)
        writer = Writer(truth, season, folder)
        writer.write()
        rows += writer.planted
    _write_mistakes(folder / "mistakes.csv", rows)
    stated = TRUTH_FILE.read_text(encoding="utf-8").split(REALIZED_MARK)[0]
    (folder / "truth.toml").write_text(stated.rstrip() + "\n\n" + REALIZED_MARK + came_true, encoding="utf-8")


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
