"""Taxes on pay that stop at a yearly base: refuses a season whose hours fall in a year of which a base is not known."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal

import polars as pl

from pipeline.errors import UsageError
from pipeline.settings import social_security_bases

Frames = Mapping[str, pl.DataFrame]
_ALWAYS = date(1900, 1, 1)
"""A wage without a first day holds from here on, as in staging.wages."""


def years_of_employees(records: Frames, refused: Frames) -> list[int]:
    """The calendar years in which accepted or held hours of employees fall.

    A worker is engaged as the last row on or before the day says; one without a row is an employee.
    """
    day = ("worker_no", "work_date")
    worked = [records["hours"].select(day)] if "hours" in records else []
    if "hours" in refused:
        worked.append(refused["hours"].filter(pl.col("place") == "held").select(day))
    if not worked:
        return []
    hours = pl.concat(worked).unique().sort("work_date")
    if "workers" in records:
        engaged = records["workers"].select("worker_no", "engaged", from_date=pl.col("from_date").fill_null(_ALWAYS))
        hours = hours.join_asof(
            engaged.sort("from_date"), left_on="work_date", right_on="from_date", by="worker_no",
            check_sortedness=False,
        ).filter(pl.col("engaged").fill_null("employee") == "employee")  # fmt: skip
    return hours["work_date"].dt.year().unique().sort().to_list()


def require_wage_bases(records: Frames, refused: Frames, settings: Iterable[Mapping[str, str | None]]) -> None:
    """Refuse hours of employees in a year of which the base of a tax is not known.

    `settings` are the settings in force, rows of setting and value. Raises UsageError that says what to write.
    """
    values = {row["setting"]: row["value"] for row in settings}
    federal = [base.year for base in social_security_bases()]
    years = [str(year) for year in years_of_employees(records, refused)]

    def lacking(rate: str, base: str) -> list[str]:
        if not Decimal(values.get(rate) or 0) or base in values:
            return []
        return [year for year in years if f"{base}:{year}" not in values]

    wrong = [
        f"Hours of employees fall in {year}, but Social Security's wage base is known for {min(federal)} to "
        f"{max(federal)} alone: write social_security_base:{year} on the sheet of settings, with the yearly pay that "
        f"IRS Publication 15 of {year} gives."
        for year in lacking("social_security", "social_security_base")
        if int(year) not in federal
    ]
    if stateless := lacking("state_unemployment", "state_base"):
        wrong.append(
            f"The setting state_unemployment is given without its base for {' and '.join(stateless)}: write state_base "
            f"(or state_base:{stateless[-1]} for one year) on the sheet of settings, with the yearly pay up to which "
            "the state's tax is due; the state or a payroll professional says it."
        )
    if wrong:
        raise UsageError(" ".join(wrong))
