"""Honest mistakes, planted in a season's records: how many of each kind is in truth.toml, where is drawn."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from datetime import timedelta

import numpy as np

from data_demo.make.records import Record, Season, Slip, Written
from data_demo.make.truth import Truth, draws

Rows = list[Record]


def _is_line(row: Record) -> bool:
    """Light line is checked against the feet of its job."""
    return str(row["item_no"]).startswith("LL")


class Planter:
    """Plants mistakes, no two in one record or in one job's core."""

    def __init__(self, season: Season, rng: np.random.Generator) -> None:
        self.season, self.rng = season, rng
        self.touched: set[int] = set()

    def pick(self, table: str, fits: Callable[[Record], bool] = lambda _: True) -> Record:
        """A record without a mistake that fits, and whose loss does not make another record look wrong."""
        rows = [row for row in self.season.tables[table] if id(row) not in self.touched and fits(row)]
        rows = [row for row in rows if row.get("task") != "service" and not (table == "materials" and _is_line(row))]
        return rows[int(self.rng.integers(len(rows)))]

    def slip(self, row: Record, field: str, value: object, kind: str, expected: str, note: str) -> None:
        row[field] = value
        self.mark(row, field, kind, expected, note)

    def mark(self, row: Record, field: str, kind: str, expected: str, note: str) -> None:
        self.touched.add(id(row))
        row.slips.append(Slip(field, kind, expected, note))


def _cells(plant: Planter, says: dict[str, int]) -> None:
    for _ in range(says["letter_for_zero"]):
        row = plant.pick("runs", lambda r: "0" in f"{r['feet']:g}")
        text = f"{row['feet']:g}".replace("0", "O", 1) + " ft"
        plant.slip(row, "feet", Written(text), "letter for zero", "rejected", "the letter O in a length")
    for _ in range(says["about"]):
        row = plant.pick("materials", lambda r: r["job_no"] is not None and r["moved"] == "issued")
        plant.slip(row, "quantity", Written(f"~{row['quantity']}"), "about", "rejected", "a guess, not a quantity")
    notes = (
        ("hours", "hours", "see note"),
        ("receipts", "amount", "n/a"),
        ("equipment", "amount", "see note"),
        ("materials", "quantity", "n/a"),
    )
    for number in range(says["see_note"]):
        table, field, text = notes[number % 4]
        row = plant.pick(table, lambda r: r.get("job_no") is not None and r.get("moved", "issued") == "issued")
        plant.slip(row, field, Written(text), "see note", "rejected", "words where a number belongs")
    words = (
        ("runs", "surface", "dormer"),
        ("service_calls", "cause", "gremlins"),
        ("connections", "kind", "widget"),
        ("materials", "moved", "borrowed"),
        ("hours", "task", "lunch"),
    )
    for number in range(says["unknown_word"]):
        table, field, text = words[number % 5]
        row = plant.pick(table, lambda r: r["job_no"] is not None)
        plant.slip(row, field, Written(text), "unknown word", "rejected", "a word that is in no list")
    for number in range(says["blank_required"]):
        table, field = (("hours", "worker_no"), ("connections", "count"))[number % 2]
        plant.slip(plant.pick(table), field, None, "blank", "rejected", "a needed cell left blank")


def _dates(plant: Planter, says: dict[str, int], year: int) -> None:
    for number in range(says["impossible_date"]):
        table, field = (("hours", "work_date"), ("receipts", "received"), ("jobs", "install_date"))[number % 3]
        plant.slip(plant.pick(table), field, Written(f"11/31/{year}"), "impossible date", "rejected", "no such day")
    for _ in range(says["outside_window"]):
        row = plant.pick("jobs", lambda r: r["takedown_date"] is not None)
        day = row["install_date"].replace(month=7, day=14)
        plant.slip(row, "install_date", day, "outside the season", "rejected", "installed in July")
    for _ in range(says["takedown_before_install"]):
        row = plant.pick("jobs", lambda r: r["takedown_date"] is not None)
        day = row["install_date"] - timedelta(days=3)
        plant.slip(row, "takedown_date", day, "takedown first", "rejected", "taken down before it was hung")


def _days(plant: Planter, says: dict[str, int]) -> None:
    days: dict[tuple, Rows] = defaultdict(list)
    for row in plant.season.tables["hours"]:
        days[row["worker_no"], row["work_date"]].append(row)

    def whole() -> Rows:
        chosen = [
            rows
            for rows in days.values()
            if 2 <= len(rows) <= 3
            and all(row["job_no"] and row["task"] != "service" and id(row) not in plant.touched for row in rows)
        ]
        return chosen[int(plant.rng.integers(len(chosen)))]

    for _ in range(says["worker_day_over_24"]):
        rows = whole()
        rows[0]["hours"] = 21.0
        rows[1]["hours"] = 6.5
        for row in rows:
            plant.mark(row, "hours", "day over 24 h", "rejected", f"{sum(r['hours'] for r in rows):g} h in one day")
    for _ in range(says["hours_over_24"]):
        row = whole()[0]
        plant.slip(row, "hours", Written("65"), "over 24 h", "rejected", "6.5 without its point")
    for _ in range(says["worker_day_over_14"]):
        rows = whole()
        rows[0]["hours"] = 8.25
        rows[1]["hours"] = 7.0
        for row in rows:
            plant.mark(row, "hours", "day over 14 h", "warning", f"{sum(r['hours'] for r in rows):g} h in one day")


def _numbers(plant: Planter, says: dict[str, int]) -> None:
    numbers = {row["job_no"] for row in plant.season.tables["jobs"]}
    for _ in range(says["job_number_twice"]):
        first = plant.pick("jobs")
        plant.touched.add(id(first))
        branch = first["branch"]
        second = plant.pick("jobs", lambda r, branch=branch: r["branch"] == branch)  # type: ignore[misc]
        plant.mark(first, "job_no", "number used twice", "rejected", "two jobs have this number")
        plant.slip(second, "job_no", first["job_no"], "number used twice", "rejected", "two jobs have this number")
    tables = ("hours", "materials", "receipts", "connections")
    for number in range(says["job_number_mistyped"]):
        row = plant.pick(tables[number % 4], lambda r: r["job_no"] is not None and r["job_no"][3] != r["job_no"][4])
        job = row["job_no"]
        swapped = job[:3] + job[4] + job[3]
        wrong = swapped if swapped not in numbers else job[:4] + "0" + job[4]
        plant.slip(row, "job_no", wrong, "job number mistyped", "held", f"job {job} was meant")
    for _ in range(says["unknown_item"]):
        row = plant.pick("materials", lambda r: r["item_no"].startswith("F") and r["moved"] == "issued")
        plant.slip(row, "item_no", Written(row["item_no"][:-1] + "X"), "unknown item", "rejected", "no such item")


def _doubts(plant: Planter, says: dict[str, int]) -> None:
    for _ in range(says["wage_missing"]):
        row = plant.pick("workers", lambda r: r["from_date"] is not None)
        plant.slip(row, "hourly_wage", None, "wage missing", "rejected", "a raise without a wage")
    for _ in range(says["sockets_off"]):
        row = plant.pick("runs", lambda r: r["sockets"] > 25)
        plant.slip(row, "sockets", round(row["sockets"] * 1.12) + 1, "sockets off", "warning", "counted wrong")
    for _ in range(says["feet_disagree"]):
        row = plant.pick("jobs", lambda r: r["feet"] is not None)
        plant.slip(row, "feet", row["feet"] + 12, "feet disagree", "warning", "12 ft more than its runs")
    for _ in range(says["crew_near_miss"]):
        row = plant.pick("hours", lambda r: r["crew"] == "Badger" and r["task"] == "takedown")
        plant.slip(row, "crew", Written("Bager"), "crew misspelt", "warning", "Badger was meant")
    for _ in range(says["call_repeated"]):
        row = plant.pick("service_calls")
        again = Record(row)
        plant.season.tables["service_calls"].append(again)
        plant.touched.add(id(row))
        plant.mark(again, "call_no", "call repeated", "rejected", "the same row twice")


def _habits(plant: Planter, says: dict[str, int]) -> None:
    """No mistakes: a crew's name in capitals or with a space in it is still that crew's."""
    for number in range(says["crew_spelled_otherwise"]):
        row = plant.pick("hours")
        plant.touched.add(id(row))
        row["crew"] = Written(row["crew"].upper() if number % 2 else f"{row['crew'].lower()} .")


def plant_mistakes(truth: Truth, season: Season) -> None:
    """Plant the season's mistakes into its tables."""
    plant = Planter(season, draws(truth, "mistakes", season.season))
    says = truth["mistakes"]
    _days(plant, says)
    _cells(plant, says)
    _dates(plant, says, season.season)
    _numbers(plant, says)
    _doubts(plant, says)
    _habits(plant, says)
