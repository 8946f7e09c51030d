"""Values as people write them, kind by kind."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.units import (
    SERIAL_EPOCH,
    heading_date_order,
    read_date,
    read_feet,
    read_hours,
    read_inches,
    read_money,
    read_plain,
    read_share,
    read_with_unit,
    reader_of,
)

EXACT = st.decimals(min_value=0, max_value=10**9, places=3)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("$1,250.00", "1250"),
        ("(125.00)", "-125"),
        ("($125.00)", "-125"),
        ("$(125.00)", "-125"),
        ("-$5", "-5"),
        ("$-5", "-5"),
        (".5", "0.5"),
        ("1250 usd", "1250"),
    ],
)
def test_an_amount(text: str, value: str) -> None:
    assert read_money(text) == Decimal(value)


@pytest.mark.parametrize(
    "text", ["(125.00", "125.00)", "(-5)", "-$-5", "1,25", "12,50,000", "1.250,00", "$", "", "1e3"]
)
def test_what_is_no_amount(text: str) -> None:
    assert read_money(text) is None


@given(EXACT)
def test_an_amount_survives_being_written_with_commas_and_a_sign(value: Decimal) -> None:
    assert read_money(f"${value:,}") == value
    assert read_money(f"({value:,})") == -value


@given(st.integers(0, 5000), st.integers(0, 11))
def test_feet_and_inches_are_inches_over_twelve(feet: int, inches: int) -> None:
    # Rounded half up at the twelfth decimal; the exact value is (12 feet + inches) / 12.
    read = read_feet(f"{feet}' {inches}\"")
    assert read is not None
    assert abs(read * 12 - (12 * feet + inches)) <= Decimal("6e-12")
    assert read_inches(f"{feet} ft {inches} in") == 12 * feet + inches


@given(st.integers(0, 9999), st.integers(0, 59))
def test_a_clock_and_its_minutes_are_one_duration(hours: int, minutes: int) -> None:
    clock = read_hours(f"{hours}:{minutes:02d}")
    assert clock == read_hours(f"{hours}h{minutes:02d}") == read_hours(f"{hours} h {minutes} min")
    assert clock == read_hours(f"{hours * 60 + minutes} min")


@given(st.dates(date(1990, 1, 1), date(2099, 12, 31)))
def test_a_day_is_the_same_in_every_style(day: date) -> None:
    styles = (
        day.isoformat(),
        f"{day:%m/%d/%Y}",
        f"{day.month}/{day.day}/{day.year}",
        f"{day:%d-%b-%Y}".casefold(),
        f"{day:%B %d, %Y}".casefold(),
        f"{day:%A, %B %d, %Y}".casefold(),
        str((day - SERIAL_EPOCH).days),
        f"{(day - SERIAL_EPOCH).days}.75",
    )
    assert {read_date(style) for style in styles} == {day}
    assert read_date(f"{day:%d/%m/%Y}", order="dmy") == day


def test_a_serial_date_counts_from_the_last_day_but_one_of_1899() -> None:
    # Spreadsheets show 45658 as 1 January 2025.
    assert read_date("45658") == date(2025, 1, 1) == SERIAL_EPOCH + timedelta(days=45658)


@pytest.mark.parametrize("text", ["14", "2025", "99999", "11/14", "2025-13-01", "31-apr-25", "14-nov", "14-nox-25"])
def test_what_is_no_date(text: str) -> None:
    assert read_date(text) is None


@pytest.mark.parametrize(
    ("unit", "order"),
    [("dd/mm/yyyy", "dmy"), ("mm/dd/yy", "mdy"), ("d.m.y", "dmy"), ("yyyy-mm-dd", None), ("day", None), (None, None)],
)
def test_the_order_that_a_heading_names(unit: str | None, order: str | None) -> None:
    assert heading_date_order(unit) == order


def test_a_value_keeps_twelve_decimals_rounded_half_up() -> None:
    assert read_plain("0.1234567890125") == Decimal("0.123456789013")
    assert read_hours("1h20") == Decimal("1.333333333333")
    assert read_hours("0:50") == Decimal("0.833333333333")
    assert read_feet('8"') == Decimal("0.666666666667")


def test_a_number_too_long_for_any_record_is_still_a_number() -> None:
    assert read_plain("9" * 40) == Decimal("9" * 40)


def test_a_share_in_per_cent() -> None:
    assert read_share("35%") == read_share("35 %") == read_share("0.35") == Decimal("0.35")


def test_only_the_field_s_own_units_may_stand_behind_a_number() -> None:
    watts = reader_of("number", unit="W")
    assert watts("0.6 w") == Decimal("0.6")
    assert watts("0.6 v") is None
    assert read_with_unit("3 pcs", units=frozenset({"pcs"})) == 3
    assert read_with_unit("3 pcs", units=frozenset()) is None


@pytest.mark.parametrize(
    ("kind", "heading", "text", "value"),
    [
        ("feet", "in", "510", "42.5"),
        ("feet", "in", "42'", "42"),
        ("feet", "m", "42", None),
        ("feet", "optional", "42", "42"),
        ("inches", "ft", "1.5", "18"),
        ("hours", "min", "390", "6.5"),
        ("hours", "min", "6 h", "6"),
        ("share", "%", "35", "0.35"),
        ("share", "%", "35 %", "0.35"),
        ("miles", "km", "14", None),
    ],
)
def test_the_heading_s_unit_is_that_of_a_bare_number(kind: str, heading: str, text: str, value: str | None) -> None:
    read = reader_of(kind, unit="miles" if kind == "miles" else None, heading_unit=heading)(text)
    assert read == (None if value is None else Decimal(value))
