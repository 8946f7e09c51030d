"""How the demo firm keeps each table in each season: which file, which headings, which habits."""

from __future__ import annotations

from data_demo.make import writing as w
from data_demo.make.records import Record
from data_demo.make.truth import Truth
from data_demo.make.writing import Layout

PERSONAL = {"Customer name": lambda r: f"Customer {r['customer_no']} (invented)", "Phone": lambda r: "555-0100"}


def _same(*names: str) -> dict[str, str]:
    return {name: name.replace("_", " ").capitalize() for name in names}


JOBS = {
    2023: {
        "job_no": "Job #", "customer_no": "Cust No", "property_no": "Property #", "branch": "Office", "crew": "Crew",
        "work": "New or repeat", "built_season": "Year built", "terms": "Lease/Sale", "stories": "Stories",
        "slope": "Pitch", "drive_miles": "Round trip miles", "feet": "Footage", "quoted": "Quoted price",
        "invoiced": "Billed", "invoiced_other": "Extras invoiced", "install_date": "Date installed",
        "takedown_date": "Taken down", "lit_nights": "Nights lit",
    },
    2024: {
        "job_no": "Job\nNo.", "property_no": "Site no", "customer_no": "Customer", "crew": "Lead crew",
        "branch": "Branch",
        "work": "Work type", "terms": "Leased or sold", "built_season": "Lines cut", "stories": "Floors",
        "slope": "Roof pitch", "drive_miles": "Drive miles", "feet": "Roofline feet (ft)", "quoted": "Estimate",
        "invoiced": "Invoice amount", "invoiced_other": "Trees and wreaths", "install_date": "Installed",
        "takedown_date": "Removed",
    },
    2025: _same(
        "job_no", "customer_no", "property_no", "branch", "crew", "work", "terms", "built_season", "stories", "slope",
        "drive_miles", "feet", "quoted", "invoiced", "invoiced_other", "install_date", "takedown_date", "lit_nights",
    ),
}  # fmt: skip
JOB_STYLES = {
    2023: {"job_no": w.as_number, "slope": w.twelfths, "feet": w.feet_text, "quoted": w.dollars, "invoiced": w.dollars,
           "install_date": w.american, "takedown_date": w.american},
    2024: {"job_no": w.as_number, "feet": w.feet_and_inches, "slope": w.twelfths},
    2025: {"install_date": w.named_month, "takedown_date": w.named_month},
}  # fmt: skip
HOURS = {
    2023: {"work_date": "Date", "crew": "Crew", "worker_no": "Emp No", "job_no": "Job #", "task": "Activity",
           "hours": "Hrs",
           "branch": "Office"},
    2024: {"worker_no": "Worker", "work_date": "Day", "job_no": "Job", "task": "What", "hours": "Hours worked",
           "crew": "Team",
           "branch": "Branch"},
    2025: {"work_date": "Work date", "job_no": "Job no", "branch": "Branch", "crew": "Crew", "worker_no": "Worker no",
           "task": "Task", "hours": "Hours"},
}  # fmt: skip
HOUR_STYLES = {
    2023: {"work_date": w.american, "hours": w.clock, "task": w.spaced},
    2024: {"job_no": w.as_number, "task": w.spaced},
    2025: {"work_date": w.named_month, "hours": w.h_minutes},
}
RUNS = {
    2023: {"job_no": "Job #", "run_no": "Run", "surface": "Fastened to", "feet": "Length", "spacing_in": "Spacing",
           "line_item": "Light line", "bulb_item": "Bulb", "fastener_item": "Clip item", "fasteners": "Clips",
           "feed": "Fed from", "sockets": "No of sockets", "branch": "Office"},
    2024: {"job_no": "Job", "run_no": "Piece", "branch": "Branch", "surface": "Surface type", "feet": "Run length",
           "spacing_in": "Socket spacing [in]", "line_item": "Line", "bulb_item": "Bulbs", "fastener_item": "Fastener",
           "feed": "Feed", "sockets": "Socket count"},
    2025: _same("job_no", "run_no", "branch", "surface", "feet", "spacing_in", "line_item", "bulb_item",
                "fastener_item", "fasteners", "feed", "sockets"),
}  # fmt: skip
RUN_STYLES = {
    2023: {"feet": w.feet_and_inches, "spacing_in": w.inch_mark},
    2024: {"job_no": w.as_number, "feet": w.feet_text},
    2025: {},
}
OTHERS = {
    "run_bulbs": _same("job_no", "run_no", "branch", "bulb_item", "share"),
    "connections": {"job_no": "Job", "branch": "Branch", "kind": "Kind of connection", "count": "How many",
                    "item_no": "Made with"},
    "workers": {"worker_no": "Worker", "role": "Role", "engaged": "Engaged as", "hourly_wage": "Hourly wage",
                "from_date": "Since", "paid_before": "Paid earlier"},
    "pay": {"worker_no": "Worker", "branch": "Branch", "kind": "Kind of pay", "from_date": "From", "to_date": "To",
            "amount": "Amount paid", "job_no": "Job"},
    "items": {"item_no": "Item #", "kind": "Category", "unit": "Counted in", "pack_size": "Per pack",
              "pack_price": "List price",
              "spacing_in": "Spacing", "watts": "Watts each", "colour": "Color", "supplier": "Supplier",
              "socket": "Socket size", "wire": "Wire", "gauge": "Gauge", "volts": "Volts", "replaces": "Replaces",
              "life_seasons": "Life in seasons", "lead_days": "Lead time"},
    "materials": {"job_no": "Job #", "branch": "Branch", "item_no": "Item", "moved": "Moved", "quantity": "Qty",
                  "unit": "Unit",
                  "move_date": "Date moved"},
    "service_calls": {"call_no": "Call #", "job_no": "Job #", "branch": "Branch", "call_date": "Date reported",
                      "fixed_date": "Date fixed", "cause": "What was wrong", "connection_kind": "Which connection",
                      "chargeable": "Chargeable", "points": "Points failed"},
    "trips": {"trip_date": "Date", "crew": "Truck crew", "miles": "Odometer miles"},
    "receipts": {"received": "Date received", "job_no": "Job #", "branch": "Branch", "kind": "Receipt kind",
                 "amount": "Amount received"},
    "equipment": {"use_date": "Date used", "job_no": "Job #", "branch": "Branch", "kind": "Equipment",
                  "amount": "Charge"},
    "overheads": {"what": "Expense", "branch": "Branch", "amount": "Season amount", "basis": "Spread by",
                  "behaves": "Fixed or variable"},
    "purchases": {"item_no": "Item", "bought_date": "Date bought", "packs": "Packs bought",
                  "pack_size": "Units per pack",
                  "paid": "Paid for goods", "freight": "Freight"},
    "offers": {"item_no": "Item", "pack_size": "Pack size", "pack_price": "Offer price", "min_packs": "Minimum packs",
               "order_by": "Order before"},
    "stock": {"item_no": "Item", "on_hand": "On hand", "condition": "Condition", "counted_on": "Date counted"},
    "quotes": {"quote_no": "Quote #", "branch": "Branch", "customer_no": "Cust No", "quote_date": "Date quoted",
               "feet": "Quoted feet", "price": "Quote price", "outcome": "Won or lost", "work": "New or renewal",
               "stories": "Stories", "job_no": "Became job", "revision": "Rev"},
    "settings": {"setting": "Setting", "value": "Value"},
}  # fmt: skip
OTHER_STYLES = {
    "connections": {"kind": w.spaced}, "materials": {"move_date": w.american}, "items": {"kind": w.spaced},
    "service_calls": {"call_date": w.american, "fixed_date": w.american, "cause": w.spaced, "chargeable": w.yes_no,
                      "connection_kind": w.spaced},
    "pay": {"amount": w.dollars}, "overheads": {"amount": w.dollars}, "receipts": {"received": w.named_month},
    "trips": {"trip_date": w.american}, "quotes": {"quote_date": w.american, "feet": w.feet_text},
}  # fmt: skip
TOTALS = {"trips": ("miles",), "overheads": ("amount",), "receipts": ("amount",), "purchases": ("paid",)}
FIRST = ("workers", "items", "overheads", "quotes", "service_calls", "materials", "trips", "run_bulbs")
"""Tables that stand first in their file; in 2024 the sheets after them have no title."""
NOTES = {
    "stock": "Counted by two people; boxes that were open were weighed.",
    "materials": "Zip cord is booked out by the reel and never comes back.",
    "offers": "Prices as offered in February; ask again before ordering.",
}


def job_layout(truth: Truth, season: int) -> Layout:
    return Layout(
        "jobs", JOBS[season], JOB_STYLES[season], (truth["firm"]["title"], f"Jobs of season {season}"),
        totals=("invoiced",) if season != 2024 else (), extra=PERSONAL if season != 2024 else {},
        merge="branch" if season == 2023 else None,
        note="Lines left up for good are not on this list." if season == 2025 else "",
    )  # fmt: skip


def hours_layout(truth: Truth, season: int, title: str, *, wrong_total: bool = False) -> Layout:
    return Layout(
        "hours", HOURS[season], HOUR_STYLES[season], (truth["firm"]["title"], title) if season != 2025 else (title,),
        blank_every=60 if season == 2024 else 0, totals=("hours",) if season == 2024 else (), wrong_total=wrong_total,
    )  # fmt: skip


def run_layout(truth: Truth, season: int) -> Layout:
    return Layout(
        "runs", RUNS[season], RUN_STYLES[season], (truth["firm"]["title"],),
        blank_after_titles=2 if season == 2023 else 0, merge="job_no" if season == 2024 else None,
    )  # fmt: skip


def other_layout(truth: Truth, season: int, table: str) -> Layout:
    styles = OTHER_STYLES.get(table, {})
    if season == 2025 and table not in ("connections", "items"):
        styles = {name: style for name, style in styles.items() if style not in (w.american, w.dollars)}
    return Layout(
        table, OTHERS[table], styles, (truth["firm"]["title"],) if season != 2024 or table in FIRST else (),
        totals=TOTALS.get(table, ()), wrong_total=has_wrong_total(truth, season, table), note=NOTES.get(table, ""),
    )  # fmt: skip


def has_wrong_total(truth: Truth, season: int, table: str) -> bool:
    """Whether the totals row of a table is wrong that season."""
    return bool(truth["mistakes"]["wrong_total"][str(season)] == table)


def by(rows: list[Record], field: str) -> dict[object, list[Record]]:
    """Rows by a field's value, in the order of first appearance."""
    groups: dict[object, list[Record]] = {}
    for row in rows:
        groups.setdefault(row[field], []).append(row)
    return groups
