"""The columns that tables print: heading, unit, format and the one definition of each."""

from __future__ import annotations

from dataclasses import replace

from pipeline.documents.model import Column

_FT = "fastened roofline feet"
_LOADED = "pay, its overtime premium and the employer's burden on both"

_COLUMNS: tuple[tuple[str, str, str, str, str], ...] = (
    # key, heading, unit, format, definition
    ("jobs", "Jobs", "jobs", "count", "completed jobs that were accepted"),
    ("feet", "Feet", "ft", "feet", f"{_FT}: the sum of the runs, or the job's own feet where it has no runs"),
    ("total_usd", "Cost", "usd", "usd", "labor, materials, travel, equipment, service and overhead together"),
    ("invoiced_usd", "Charged", "usd", "usd", "roofline work invoiced, before sales tax"),
    ("margin_usd", "Left over", "usd", "usd", "charged less cost"),
    ("margin_share", "Margin", "of price", "share", "(charged - cost) / charged, after overhead"),
    ("markup_share", "Markup", "on cost", "share", "(charged - cost) / cost: the same money, measured against cost"),
    ("cost_usd_per_ft", "Cost", "usd/ft", "usd_per_ft", "sum of the jobs' cost / sum of their feet"),
    ("charged_usd_per_ft", "Charged", "usd/ft", "usd_per_ft", "sum of what was charged / sum of the feet"),
    ("losing_jobs", "At a loss", "jobs", "count", "jobs that cost more than was charged for them"),
    ("amount_usd", "Amount", "usd", "usd_cents", "the amount in dollars and cents"),
    ("price_usd_per_ft", "Price", "usd/ft", "usd_per_ft", "price per foot at which the season's margin reaches "
     "the target with the chance beside it"),
    ("chance", "Chance", "of reaching it", "whole_chance", "chance that the season's margin reaches the target"),
    ("direct_usd", "Before overhead", "usd", "usd_cents", "fitted cost before overhead: a job's start, or a foot"),
    ("full_usd", "In all", "usd", "usd_cents", "fitted cost with overhead: a job's start, or a foot"),
    ("more_usd", "More than the mean foot", "usd/ft", "usd_cents", "fitted cost of a foot less that of the mean foot"),
    ("hours", "Hours", "h", "hours", "paid person-hours: a crew of three for two hours is six"),
    ("overtime_hours", "Overtime", "h", "hours", "hours over the week's or the day's limit"),
    ("loaded_usd", "Loaded cost", "usd", "usd", _LOADED),
    ("premium_usd", "Overtime premium", "usd", "usd", "the extra half of the regular rate for overtime hours"),
    ("hours_per_100_ft", "Prep and install", "h/100 ft", "hours_per_100_ft",
     "prep and install hours / feet x 100, houses as they came"),
    ("install_hours_per_100_ft", "Install alone", "h/100 ft", "hours_per_100_ft", "install hours / feet x 100"),
    ("connections", "Connections", "each", "count", "connection points built, of this kind"),
    ("connection_nights", "Nights lit", "connection-nights", "count",
     "connection points times the nights that each was lit"),
    ("failed_points", "Failed", "points", "count", "points that failed and were mended on a service call"),
    ("per_1000_connection_nights", "Failures", "per 1,000 connection-nights", "rate",
     "failed points / connection-nights x 1,000, with exact Poisson limits (Garwood 1936)"),
    ("per_connection", "Failures", "per connection", "rate", "failed points / connections, over the season"),
    ("make_usd", "Making it", "usd each", "usd_cents", "minutes and parts of one connection, by the settings"),
    ("failure_usd", "Its failures", "usd each", "usd_cents", "failures per connection x realized cost of one fault"),
    ("fault_usd", "One fault", "usd each", "usd_cents", "realized cost of mending one failed point"),
    ("calls", "Calls", "calls", "count", "service calls"),
    ("points", "Points", "points", "count", "points that failed on those calls"),
    ("share", "Share", "of all", "share", "this row over the sum of all rows"),
    ("cumulative_share", "Running share", "of all", "share", "this row and those above it over the sum of all rows"),
    ("packs", "Packs", "packs", "count", "whole packs to order"),
    ("pack_size", "Pack", "units", "quantity", "units in a pack: feet of a spool, pieces of a case"),
    ("pack_price", "Price", "usd/pack", "usd_cents", "price of a pack, as offered or else as listed"),
    ("need_p10", "Low need", "units", "quantity", "next season's need, less in one season of ten"),
    ("need_p50", "Middle need", "units", "quantity", "next season's need, the middle of the forecast"),
    ("need_p90", "High need", "units", "quantity", "next season's need, more in one season of ten"),
    ("on_hand", "On hand", "units", "quantity", "usable stock, and the part of the doubtful that is counted on"),
    ("chance_short", "Running short", "chance", "chance", "chance of needing more than is on hand and ordered"),
    ("ordered", "Ordered", "units", "quantity", "units ordered now, over all packs of the item"),
    ("top_up_p50", "Later, middle", "units", "quantity", "bought once the season's jobs are known, in the middle case"),
    ("top_up_p90", "Later, high", "units", "quantity", "bought once the season's jobs are known, more in one of ten"),
    ("fewer_usd", "Fewer would cost", "usd more", "usd_cents", "cost in the end of the best order up to the high need, "
     "less that of this one, where this one is above it"),
    ("order_by", "Order by", "date", "date", "last day to order"),
    ("rows_read", "Read", "rows", "count", "rows from the sheet's first to its last"),
    ("accepted", "Accepted", "rows", "count", "rows that passed every rule and are in the figures"),
    ("rejected", "Rejected", "rows", "count", "rows that cannot be right as they stand; not in the figures"),
    ("held", "Held", "rows", "count", "sound rows whose job was rejected or is unknown; not in the figures"),
    ("set_aside", "Set aside", "rows", "count", "titles, headings, totals and blank rows: no records"),
    ("read_usd", "Read", "usd", "usd_cents", "cost read in for this part"),
    ("on_jobs_usd", "On jobs", "usd", "usd_cents", "cost put on its own job"),
    ("spread_usd", "Spread", "usd", "usd_cents", "cost shared over the branch's jobs"),
    ("outside_usd", "Outside", "usd", "usd_cents", "cost that belongs to no foot of this season: other work, "
     "goods that last longer"),
    ("refused_usd", "Refused", "usd", "usd_cents", "cost on rows that were rejected or held"),
    ("difference_usd", "Difference", "usd", "usd_cents", "read less all the others: it must be nothing"),
)  # fmt: skip

COLUMNS: dict[str, Column] = {row[0]: Column(*row) for row in _COLUMNS}
"""Every numeric column by its name in the store, or by its own name where a report computes it."""


def column(key: str, **changes: str) -> Column:
    """A column by name, with another heading, unit or definition where a table needs it."""
    return replace(COLUMNS[key], **changes)


def words(key: str, heading: str, definition: str = "") -> Column:
    """A column of words."""
    return Column(key, heading, "", "text", definition or heading.lower())


def prose(key: str, heading: str, definition: str = "") -> Column:
    """A column of sentences, which needs room."""
    return Column(key, heading, "", "prose", definition or heading.lower())


def estimate(key: str, low: str, high: str, **changes: str) -> Column:
    """A column of estimates; `low` and `high` name the interval's ends in the row."""
    return replace(column(key, **changes), low=low, high=high)


def ratio(key: str, heading: str, definition: str, low: str = "", high: str = "") -> Column:
    """A column of ratios around 1, with an interval where its ends are named."""
    return Column(key, heading, "ratio", "ratio", definition, low or None, high or None)
