"""One small season of an invented firm in every table: what a way of writing it down must not change.

Every value is what the store is to hold: codes, words and names as text, measures as Decimal, dates as date. All rows
are sound. Two branches, each with a crew; job 1001 is in both; hours in thirds and feet in quarters do not stay whole.
"""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

from pipeline.vocabulary import tables

Value = str | int | bool | Decimal | date | None
Record = dict[str, Value]
Season = dict[str, list[Record]]

START = 2025
JOBS = 14
CREWS = {"north": "Maple", "south": "Oak"}
WORKERS = {"north": ("W01", "W02"), "south": ("W03", "W11")}
SURFACES = ("gutter", "shingle", "ridge", "masonry", "trim", "ground")
THIRD = Decimal("0.333333333333")
"""As the store keeps it: 12 decimals."""


def _branch(n: int) -> str:
    return "south" if n % 2 else "north"


def _job_no(n: int) -> str:
    return "1001" if n == JOBS - 1 else str(1001 + n)


def _feet(n: int, run: int) -> Decimal:
    return Decimal(30 + 7 * n + 11 * run) + Decimal(n % 4) / 4


def _installed(n: int) -> date:
    return date(START, 11, 3) + timedelta(days=2 * n)


def _jobs() -> list[Record]:
    return [
        {
            "job_no": _job_no(n), "customer_no": f"C{201 + n}", "property_no": f"C{201 + n}-1" if n % 4 == 1 else None,
            "feet": None if n % 5 == 3 else _feet(n, 1) + _feet(n, 2), "built_season": 2023 if n % 3 == 2 else None,
            "branch": _branch(n), "crew": CREWS[_branch(n)], "work": "repeat" if n % 3 == 2 else "new",
            "terms": "sold" if n % 4 == 3 else "leased", "stories": 1 + n % 3, "slope": Decimal(4 + n % 9),
            "drive_miles": Decimal(9 + n) + Decimal("0.5"), "quoted": None if n % 6 == 5 else Decimal(900 + 50 * n),
            "invoiced": Decimal(940 + 55 * n) + Decimal("0.75"),
            "invoiced_other": Decimal(120 + n) if n % 5 == 0 else None, "install_date": _installed(n),
            "takedown_date": None if n == 12 else date(START + 1, 1, 5) + timedelta(days=n),
            "lit_nights": 40 + n if n % 7 == 0 else None,
        }
        for n in range(JOBS)
    ]  # fmt: skip


def _runs() -> list[Record]:
    return [
        {
            "job_no": _job_no(n), "run_no": str(run), "branch": _branch(n), "surface": SURFACES[(n + run) % 6],
            "feet": _feet(n, run), "spacing_in": Decimal(12 if n % 2 else 15), "line_item": "LL12" if n % 2 else "LL15",
            "bulb_item": "B9WW", "fastener_item": "FG1" if n % 3 else None, "fasteners": 20 + n if n % 3 else None,
            "feed": "AB"[run % 2], "circuit": str(3 + run) if n % 3 == 0 else None, "sockets": None,
        }
        for n in range(JOBS) for run in (1, 2)
    ]  # fmt: skip


def _run_bulbs() -> list[Record]:
    halves = [(n, bulb, Decimal("0.5")) for n in (1, 4) for bulb in ("B9WW", "B9RD")]
    thirds = [(7, bulb, Decimal(share)) for bulb, share in (("B9WW", "0.334"), ("B9RD", "0.333"), ("B9GN", "0.333"))]
    return [
        {"job_no": _job_no(n), "run_no": "1", "branch": _branch(n), "bulb_item": bulb, "share": share}
        for n, bulb, share in halves + thirds
    ]


def _connections() -> list[Record]:
    points = (("plug", 3, "PLM"), ("inline_tap", 1, "TAP"), ("taped_socket", 2, None), ("splice", 0, None))
    return [
        {"job_no": _job_no(n), "branch": _branch(n), "kind": kind, "count": count + n % 3, "item_no": item}
        for n in range(JOBS) for kind, count, item in points[: 2 + n % 3]
    ]  # fmt: skip


def _entry(n: int, day: date, worker: str, task: str, hours: Decimal) -> Record:
    return {
        "work_date": day, "job_no": _job_no(n), "branch": _branch(n), "crew": CREWS[_branch(n)], "worker_no": worker,
        "task": task, "hours": hours,
    }  # fmt: skip


def _hours() -> list[Record]:
    rows = []
    for n in range(JOBS):
        day, (first, second) = _installed(n), WORKERS[_branch(n)]
        rows += [
            _entry(n, day - timedelta(days=1), first, "prep", Decimal("1.25") + n % 2),
            _entry(n, day, first, "install", Decimal(5) + Decimal(n % 4) / 4),
            _entry(n, day, second, "install", Decimal(5) + THIRD),
            _entry(n, day, second, "drive", Decimal("0.75")),
        ]
        if n != 12:
            rows.append(_entry(n, date(START + 1, 1, 5) + timedelta(days=n), first, "takedown", Decimal("2.5")))
    for n in (0, 3, 6):
        rows.append(_entry(n, date(START, 12, 2 + n), WORKERS[_branch(n)][0], "service", Decimal("1.5")))
    for branch, crew in CREWS.items():
        shop = {"work_date": date(START, 12, 12), "job_no": None, "branch": branch, "crew": crew, "task": "shop"}
        rows.append(shop | {"worker_no": WORKERS[branch][0], "hours": Decimal(4)})
    return rows


def _money() -> Season:
    first, last = date(START, 11, 2), date(START, 11, 8)
    return {
        "workers": [
            {"worker_no": "W01", "branch": "north", "role": "installer", "engaged": "employee",
             "hourly_wage": Decimal("21.50"), "from_date": None, "paid_before": Decimal("8400.25")},
            {"worker_no": "W01", "branch": "north", "role": "installer", "engaged": "employee",
             "hourly_wage": Decimal("23"), "from_date": date(START, 12, 1), "paid_before": None},
            {"worker_no": "W02", "branch": "north", "role": "helper", "engaged": "employee",
             "hourly_wage": Decimal("18.75"), "from_date": date(START, 9, 1), "paid_before": None},
            {"worker_no": "W03", "branch": "south", "role": "installer", "engaged": "owner", "hourly_wage": None,
             "from_date": None, "paid_before": None},
            {"worker_no": "W11", "branch": "south", "role": "helper", "engaged": "employee",
             "hourly_wage": Decimal("19"), "from_date": date(START, 10, 13), "paid_before": None},
        ],
        "pay": [
            {"worker_no": "W01", "branch": "north", "from_date": first, "to_date": last, "kind": "bonus",
             "amount": Decimal("150"), "job_no": None},
            {"worker_no": "W02", "branch": "north", "from_date": _installed(2), "to_date": _installed(2),
             "kind": "piece", "amount": Decimal("64.20"), "job_no": _job_no(2)},
            {"worker_no": None, "branch": "south", "from_date": _installed(5), "to_date": _installed(5),
             "kind": "subcontract", "amount": Decimal("310"), "job_no": _job_no(5)},
        ],
        "trips": [
            {"trip_date": _installed(n), "crew": CREWS[_branch(n)], "branch": _branch(n), "miles": Decimal(20 + n)}
            for n in range(8)
        ],
        "receipts": [
            {"received": date(START, 10, 9 + n), "job_no": _job_no(n), "branch": _branch(n), "kind": kind,
             "amount": Decimal(300 + 10 * n)} for n, kind in enumerate(("deposit", "balance", "refund", "fee"))
        ],
        "equipment": [
            {"use_date": _installed(3), "job_no": _job_no(3), "branch": "south", "kind": "lift",
             "amount": Decimal("285")},
            {"use_date": date(START, 12, 8), "job_no": None, "branch": "north", "kind": "trailer",
             "amount": Decimal("45.50")},
        ],
        "overheads": [
            {"what": "insurance", "branch": None, "amount": Decimal("6200"), "basis": "feet", "behaves": "fixed"},
            {"what": "caf\u00e9 meetings", "branch": "north", "amount": Decimal("83.40"), "basis": "hours",
             "behaves": "variable"},
            {"what": "office rent", "branch": None, "amount": Decimal("2400"), "basis": "revenue", "behaves": "fixed"},
        ],
    }  # fmt: skip


def _item(item: str, kind: str, unit: str, size: int, price: str, **more: Value) -> Record:
    fixed = {"item_no": item, "kind": kind, "unit": unit, "pack_size": Decimal(size), "pack_price": Decimal(price)}
    return dict.fromkeys(tables()["items"].fields) | {"life_seasons": Decimal(4)} | fixed | more


def _items() -> list[Record]:
    line = {"supplier": "Northfork Supply", "socket": "C9", "wire": "SPT-1", "gauge": 18, "volts": Decimal(120)}
    bulb = {"supplier": "Ridgeway Lamps", "watts": Decimal("0.6"), "socket": "C9", "volts": Decimal(120)}
    return [
        _item("LL12", "light_line", "ft", 500, "145", spacing_in=Decimal(12), colour="green", lead_days=14, **line),
        _item("LL15", "light_line", "ft", 1000, "270.50", spacing_in=Decimal(15), replaces="LL12", **line),
        _item("B9WW", "bulb", "each", 250, "112.50", colour="warm white", **(bulb | {"life_seasons": Decimal("3.5")})),
        _item("B9RD", "bulb", "each", 250, "118", colour="red", **bulb),
        _item("B9GN", "bulb", "each", 250, "118", colour="green", **bulb),
        _item("FG1", "fastener", "each", 1000, "89.99", lead_days=7),
        _item("PLM", "plug", "each", 100, "64", wire="SPT-1"),
        _item("TAP", "inline_tap", "each", 100, "71.25", wire="SPT-1"),
        _item("ZC", "zip_cord", "ft", 250, "48"),
    ]


def _goods() -> Season:
    moves: list[Record] = []
    for n in range(JOBS):
        line = "LL12" if n % 2 else "LL15"
        day, home = _installed(n) - timedelta(days=1), {"job_no": _job_no(n), "branch": _branch(n)}
        used = Decimal(int(_feet(n, 1) + _feet(n, 2)) + 12)
        moves += [
            home | {"item_no": line, "moved": "issued", "quantity": used, "unit": "ft", "move_date": day},
            home
            | {"item_no": "B9WW", "moved": "issued", "quantity": Decimal(6 + n), "unit": "dozen", "move_date": day},
            home | {"item_no": line, "moved": "returned", "quantity": Decimal(4), "unit": "ft", "move_date": None},
        ]
    shop = {"job_no": None, "branch": "north", "item_no": "ZC", "moved": "issued", "quantity": Decimal(1)}
    moves.append(shop | {"unit": "spool", "move_date": date(START, 11, 10)})
    packs = (("LL12", 4), ("LL15", 3), ("B9WW", 9))
    return {
        "materials": moves,
        "purchases": [
            {"item_no": item, "branch": None, "bought_date": date(START, 8, 9 + packs), "packs": Decimal(packs),
             "pack_size": Decimal(size), "paid": Decimal(packs * 140) + Decimal("0.10"),
             "freight": Decimal(45) if packs == 4 else None}
            for (item, packs), size in zip(packs, (500, 1000, 250), strict=True)
        ],
        "offers": [
            {"item_no": "LL12", "pack_size": Decimal(1000), "pack_price": Decimal(270), "min_packs": 4,
             "order_by": date(START + 1, 5, 31)},
            {"item_no": "B9WW", "pack_size": Decimal(500), "pack_price": Decimal("208.40"), "min_packs": 1,
             "order_by": None},
        ],
        "stock": [
            {"item_no": item, "branch": "north", "on_hand": Decimal(on_hand), "condition": condition,
             "counted_on": date(START + 1, 2, 3)}
            for item, on_hand, condition in (("LL12", 860, "usable"), ("LL12", 44, "doubtful"), ("B9WW", 0, "usable"))
        ],
    }  # fmt: skip


def _calls_and_quotes() -> Season:
    causes = (("plug", "plug", True, 2), ("dead_bulb", "none", False, 1), ("gfci_trip", None, None, 1))
    outcomes = ("won", "lost", "open", "won")
    return {
        "service_calls": [
            {"call_no": f"S{118 + n}", "job_no": _job_no(n), "branch": _branch(n), "call_date": date(START, 12, 1 + n),
             "fixed_date": date(START, 12, 2 + n) if n else None, "cause": cause, "connection_kind": kind,
             "chargeable": chargeable, "points": points}
            for n, (cause, kind, chargeable, points) in zip((0, 3, 6), causes, strict=True)
        ],
        "quotes": [
            {"quote_no": f"Q{331 + n // 2}", "branch": "north", "customer_no": f"C{201 + n}",
             "quote_date": date(START, 9, 11 + n), "feet": Decimal(150 + n) + Decimal("0.5"),
             "price": Decimal(1150 + 10 * n), "outcome": outcome, "work": "new" if n % 2 else None,
             "stories": 2 if n else None, "job_no": _job_no(2 * n) if outcome == "won" else None, "revision": n % 2}
            for n, outcome in enumerate(outcomes)
        ],
        "settings": [
            {"setting": "firm", "value": "Made Up Lights (invented)"},
            {"setting": "target_margin", "value": "0.35"},
            {"setting": "owner_wage", "value": "31.5"},
        ],
    }  # fmt: skip


def small_season() -> Season:
    """Every table by name, in the order of the description; each row has every field of its table."""
    made = {"jobs": _jobs(), "runs": _runs(), "run_bulbs": _run_bulbs(), "connections": _connections(),
            "hours": _hours(), "items": _items(), **_money(), **_goods(), **_calls_and_quotes()}  # fmt: skip
    return {name: [{field: row[field] for field in table.fields} for row in made[name]]
            for name, table in tables().items()}  # fmt: skip
