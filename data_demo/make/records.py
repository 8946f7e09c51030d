"""A season's records as rows of each table, before anybody writes them down."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from data_demo.make import goods, money
from data_demo.make.faults import Call, attend
from data_demo.make.houses import Job
from data_demo.make.truth import Truth, draws
from data_demo.make.work import Book, indirect, install, take_down


class Written(str):
    """A cell that is written just so, as text."""


@dataclass(frozen=True)
class Slip:
    """A planted mistake at a field of a record."""

    field: str
    kind: str
    expected: str
    note: str


class Record(dict):
    """A row of a table, with the mistakes planted in it."""

    def __init__(self, *args: object, **values: object) -> None:
        super().__init__(*args, **values)
        self.slips: list[Slip] = []


@dataclass
class Season:
    """A season as it was, and its records by table."""

    season: int
    jobs: list[Job]
    book: Book
    calls: list[Call]
    moves: list[goods.Move]
    tables: dict[str, list[Record]] = field(default_factory=dict)


def work_season(truth: Truth, season: int, jobs: list[Job]) -> Season:
    """Hang the lights, mend what fails, take them down, and move the goods."""
    for place in range(truth["demand"]["open_jobs"].get(str(season), 0)):
        jobs[17 + 41 * place].open = True
    book = Book(truth, season)
    install(book, jobs)
    take_down(book, jobs)
    calls = attend(truth, book, jobs)
    indirect(book)
    return Season(season, jobs, book, calls, goods.move_goods(truth, season, jobs))


def _jobs(truth: Truth, season: Season) -> list[Record]:
    rng = draws(truth, "job rows", season.season)
    rows = []
    for job in season.jobs:
        house = job.house
        rows.append(
            Record(
                job_no=job.job_no, customer_no=house.customer_no, property_no=house.property_no, branch=house.branch,
                feet=house.feet if rng.random() < 0.6 else None, crew=job.crew, work=job.work, terms=house.terms,
                built_season=house.first_season if job.work == "repeat" else None, stories=house.stories,
                slope=house.slope, drive_miles=house.miles, quoted=job.quoted, invoiced=job.invoiced,
                invoiced_other=job.other or None, install_date=job.install_date, takedown_date=job.takedown_date,
                lit_nights=job.lit_nights,
            )
        )  # fmt: skip
    return rows


def _runs(season: Season) -> tuple[list[Record], list[Record]]:
    runs, bulbs = [], []
    for job in season.jobs:
        base = {"job_no": job.job_no, "branch": job.house.branch}
        for run in job.house.runs:
            runs.append(
                Record(
                    **base, run_no=str(run.run_no), surface=run.surface, feet=run.feet, spacing_in=run.spacing,
                    line_item=run.line, bulb_item=run.bulbs[0][0], fastener_item=run.fastener, fasteners=run.sockets,
                    feed=run.feed, sockets=run.sockets,
                )
            )  # fmt: skip
            if len(run.bulbs) > 1:
                bulbs += [Record(**base, run_no=str(run.run_no), bulb_item=b, share=s) for b, s in run.bulbs]
    return runs, bulbs


def _connections(season: Season) -> list[Record]:
    return [
        Record(
            job_no=job.job_no, branch=job.house.branch, kind=kind, count=count,
            item_no=goods.ITEM_OF_POINT.get(kind, (None, 0))[0],
        )
        for job in season.jobs for kind, count in job.house.points.items() if count
    ]  # fmt: skip


def _hours(season: Season) -> list[Record]:
    entries = sorted(
        season.book.entries, key=lambda e: (e.day, e.crew, e.worker, e.job.job_no if e.job else "", e.task)
    )
    merged: dict[tuple, float] = {}
    for entry in entries:
        key = (entry.day, entry.job.job_no if entry.job else None, entry.branch, entry.crew, entry.worker, entry.task)
        merged[key] = merged.get(key, 0.0) + entry.hours
    names = ("work_date", "job_no", "branch", "crew", "worker_no", "task")
    return [Record(zip(names, key, strict=True), hours=hours) for key, hours in merged.items()]


def _items(truth: Truth, season: int) -> list[Record]:
    return [
        Record(
            item_no=name, kind=says["kind"], unit=says["unit"], pack_size=says["pack"],
            pack_price=goods.list_price(truth, name, season), spacing_in=says.get("spacing"), watts=says.get("watts"),
            colour=says.get("colour"), supplier=says.get("supplier"), socket=says.get("socket"), wire=says.get("wire"),
            gauge=says.get("gauge"), volts=says.get("volts"), replaces=None, life_seasons=says.get("life"),
            lead_days=says.get("lead"),
        )
        for name, says in truth["items"].items()
    ]  # fmt: skip


def _stock(truth: Truth, season: int, before: dict[str, int], after: dict[str, int]) -> list[Record]:
    rows = [
        Record(item_no=item, on_hand=count, condition="usable", counted_on=date(season, 9, 6))
        for item, count in sorted(before.items())
    ]
    for item, count in sorted(after.items()):
        worn = count // 12 if truth["items"][item]["kind"] in ("light_line", "bulb") else 0
        rows.append(Record(item_no=item, on_hand=count - worn, condition="usable", counted_on=date(season + 1, 2, 20)))
        if worn:
            rows.append(Record(item_no=item, on_hand=worn, condition="doubtful", counted_on=date(season + 1, 2, 20)))
    return rows


def fill_tables(truth: Truth, season: Season, gone: list[Job], stock: dict[str, int]) -> None:
    """Put every table of the season together; `stock` is what stood in the shop, and is brought up to date."""
    year, jobs = season.season, season.jobs
    goods.take_back(truth, gone, stock)
    before = dict(stock)
    net = goods.net_of(season.moves)
    bought = goods.purchases(truth, year, net, stock)
    for item, used in net.items():
        stock[item] = max(0, round((stock.get(item, 0) - used) * (1 - truth["goods"]["shrinkage"])))
    runs, bulbs = _runs(season)
    rows = {
        "jobs": _jobs(truth, season),
        "runs": runs,
        "run_bulbs": bulbs,
        "connections": _connections(season),
        "hours": _hours(season),
        "workers": money.workers(truth, year),
        "pay": money.pay(truth, season.book, jobs),
        "items": _items(truth, year),
        "materials": [
            Record(job_no=m.job.job_no if m.job else None, branch=m.branch, item_no=m.item, moved=m.moved,
                   quantity=m.quantity, unit=truth["items"][m.item]["unit"], move_date=m.day)
            for m in season.moves
        ],
        "service_calls": [
            Record(call_no=f"S{year % 100}{n:03d}", job_no=c.job.job_no, branch=c.job.house.branch, call_date=c.called,
                   fixed_date=c.fixed, cause=c.cause, connection_kind=c.kind, chargeable=c.chargeable, points=c.points)
            for n, c in enumerate(season.calls, start=1)
        ],
        "trips": money.trips(truth, season.book),
        "receipts": money.receipts(truth, year, jobs),
        "equipment": money.equipment(truth, year, jobs),
        "overheads": money.overheads(truth, year),
        "purchases": bought,
        "offers": goods.offers(truth, year),
        "stock": _stock(truth, year, before, stock),
        "quotes": money.quotes(truth, year, jobs, gone),
        "settings": [{"setting": key, "value": value} for key, value in truth["settings"].items()],
    }  # fmt: skip
    rows["settings"].append({"setting": "firm", "value": truth["firm"]["name"]})
    season.tables = {
        name: [row if isinstance(row, Record) else Record(row) for row in table] for name, table in rows.items()
    }
