"""The rest of the books: quotes, trips, receipts, equipment, overheads and pay that is not by the hour."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta

from data_demo.make.demand import price_per_ft
from data_demo.make.houses import Job, make_house
from data_demo.make.truth import Truth, draws, lognormal_mean_one
from data_demo.make.work import Book

Rows = list[dict]
TRIP_CREWS = ("Heron", "Otter", "Badger")
"""Crews whose vans have a log; the others' miles are known by job alone."""


def quotes(truth: Truth, season: int, jobs: list[Job], gone: list[Job]) -> Rows:
    """Won quotes of new jobs, some in two revisions, lost ones, and offered renewals."""
    rng = draws(truth, "quotes", season)
    rows: Rows = []

    def add(house: object, work: str, price: int, outcome: str, job: str | None, revision: int = 0) -> None:
        number = f"Q{season % 100}{len(rows) + 1:04d}" if not revision else rows[-1]["quote_no"]
        day = rows[-1]["quote_date"] if revision else date(season, 8, 20) + timedelta(days=int(rng.integers(0, 70)))
        rows.append(
            {
                "quote_no": number,
                "branch": house.branch,
                "customer_no": house.customer_no,
                "quote_date": day,
                "feet": house.feet,
                "price": price,
                "outcome": outcome,
                "work": work,
                "stories": house.stories,
                "job_no": job,
                "revision": revision,
            }
        )

    for job in jobs:
        if job.work == "new" and rng.random() < 0.15:
            add(job.house, "new", 5 * round(job.quoted * 1.06 / 5), "open", None)
            add(job.house, "new", job.quoted, "won", job.job_no, 1)
        else:
            add(job.house, job.work, job.quoted, "won", job.job_no)
    new = sum(job.work == "new" for job in jobs)
    for number in range(round(new * (truth["demand"]["quotes_per_new_job"] - 1)) + truth["demand"]["open_quotes"]):
        house = make_house(truth, 900_000 + season * 1000 + number, season)
        price = price_per_ft(truth, house, "new", season, lognormal_mean_one(rng, 0.08) * 1.05)
        outcome = "open" if number < truth["demand"]["open_quotes"] else "lost"
        add(house, "new", 5 * round(price * house.feet / 5), outcome, None)
    for job in gone:
        price = price_per_ft(truth, job.house, "repeat", season, lognormal_mean_one(rng, 0.06))
        add(job.house, "repeat", 5 * round(price * job.house.feet / 5), "lost", None)
    return rows


def trips(truth: Truth, book: Book) -> Rows:
    """The vans' day logs: less than the sum of the round trips, since houses lie on one way."""
    days: dict[tuple[str, date], dict[str, int]] = defaultdict(dict)
    for entry in book.entries:
        if (
            entry.job is not None
            and entry.crew in TRIP_CREWS
            and entry.task in ("drive", "install", "takedown", "service")
        ):
            days[entry.crew, entry.day][entry.job.job_no] = entry.job.house.miles
    rng = draws(truth, "trips", book.season)
    rows: Rows = []
    for (crew, day), miles in sorted(days.items()):
        share = 1.0 if len(miles) == 1 else 0.72
        rows.append({"trip_date": day, "crew": crew, "miles": round(sum(miles.values()) * share + rng.integers(0, 6))})
    return rows


def receipts(truth: Truth, season: int, jobs: list[Job]) -> Rows:
    """A deposit when the job is ordered and the balance after it is hung."""
    rng = draws(truth, "receipts", season)
    rows: Rows = []
    for job in jobs:
        assert job.requested is not None
        assert job.install_date is not None
        total = job.invoiced + job.other
        deposit = 5 * round(0.3 * total / 5)
        asked = job.requested - timedelta(days=int(rng.integers(5, 30)))
        paid = job.install_date + timedelta(days=int(rng.integers(1, 25)))
        base = {"job_no": job.job_no, "branch": job.house.branch}
        rows.append({"received": asked, **base, "kind": "deposit", "amount": deposit})
        rows.append({"received": paid, **base, "kind": "balance", "amount": total - deposit})
        if rng.random() < 0.01:
            rows.append({"received": paid + timedelta(days=9), **base, "kind": "refund", "amount": 40})
    return sorted(rows, key=lambda row: (row["received"], row["job_no"]))


def equipment(truth: Truth, season: int, jobs: list[Job]) -> Rows:
    """A lift where three stories call for one, and storage boxes for everybody."""
    rng = draws(truth, "equipment", season)
    rows: Rows = []
    for job in jobs:
        if job.house.stories == 3 and rng.random() < 0.6:
            rows.append(
                {
                    "use_date": job.install_date,
                    "job_no": job.job_no,
                    "branch": job.house.branch,
                    "kind": "lift",
                    "amount": 185.0 + 10 * int(rng.integers(0, 6)),
                }
            )
    for month in (9, 10, 11, 12):
        for branch, amount in (("Quillmere", 96.5), ("Tarnholt", 78.25)):
            rows.append(
                {
                    "use_date": date(season, month, 3),
                    "job_no": None,
                    "branch": branch,
                    "kind": "storage boxes",
                    "amount": amount,
                }
            )
    rows.append(
        {"use_date": date(season, 10, 12), "job_no": None, "branch": None, "kind": "ladder inspection", "amount": 410.0}
    )
    return rows


def overheads(truth: Truth, season: int) -> Rows:
    """The season's overheads, risen since the first."""
    rise = (1 + truth["overhead_rise"]) ** (season - truth["seasons"][0])
    return [
        {
            "what": row["what"],
            "branch": row.get("branch"),
            "amount": round(row["amount"] * rise, 2),
            "basis": row["basis"],
            "behaves": row.get("behaves", "fixed"),
        }
        for row in truth["overheads"]
    ]


def workers(truth: Truth, season: int) -> Rows:
    """A row a worker, and one a raise."""
    says = truth["wages"]
    rows: Rows = []
    for worker in truth["workers"]:
        if season not in worker.get("seasons", truth["seasons"]):
            continue
        years = season - truth["seasons"][0]
        wage = worker.get("wage")
        if wage is not None:
            wage = round(wage * (1 + says["yearly_rise"]) ** years / says["step_usd"]) * says["step_usd"]
        rows.append(
            {
                "worker_no": worker["no"],
                "role": worker["role"],
                "engaged": worker.get("engaged", "employee"),
                "hourly_wage": wage,
                "from_date": None,
                "paid_before": worker.get("paid_before"),
            }
        )
        if season in worker.get("raised", ()):
            rows.append(
                {
                    "worker_no": worker["no"],
                    "role": None,
                    "engaged": None,
                    "hourly_wage": wage + says["raise_usd"],
                    "from_date": date(season, 12, 1),
                    "paid_before": None,
                }
            )
    return rows


def pay(truth: Truth, book: Book, jobs: list[Job]) -> Rows:
    """Bonus, piece and day pay, and what the subcontract crew is paid by the foot."""
    says = truth["prices"]
    employees = {worker["no"] for worker in truth["workers"] if worker.get("engaged", "employee") == "employee"}
    worked: dict[str, list[date]] = defaultdict(list)
    for entry in book.entries:
        if entry.worker in employees and entry.day.month in (11, 12):
            worked[entry.worker].append(entry.day)
    rows: Rows = []
    for place, (worker, days) in enumerate(sorted(worked.items())):
        start = sorted(days)[len(days) // 2]
        start -= timedelta(days=(start.weekday() + 1) % 7)
        kind = ("bonus", "bonus", "piece", "day")[place % 4]
        rows.append(
            {
                "worker_no": worker,
                "branch": None,
                "from_date": start,
                "to_date": start + timedelta(days=6),
                "kind": kind,
                "amount": (150.0, 120.0, 96.4, 60.0)[place % 4],
                "job_no": None,
            }
        )
    for job in jobs:
        if job.crew == "Plover":
            for kind, day in (("install", job.install_date), ("takedown", job.takedown_date)):
                if day is not None:
                    amount = round(says[f"subcontract_{kind}_per_ft"] * job.house.feet, 2)
                    rows.append(
                        {
                            "worker_no": "S21",
                            "branch": job.house.branch,
                            "from_date": day,
                            "to_date": day,
                            "kind": "subcontract",
                            "amount": amount,
                            "job_no": job.job_no,
                        }
                    )
    return rows
