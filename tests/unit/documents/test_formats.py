"""How values are printed."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from pipeline.documents.formats import show, show_range


@pytest.mark.parametrize(
    ("value", "form", "shown"),
    [
        (Decimal("6.425"), "usd_per_ft", "$6.43"),
        (Decimal("1203.50"), "usd", "$1,204"),
        (Decimal("-602.71"), "usd_cents", "\N{MINUS SIGN}$602.71"),
        (0.1237, "share", "12.4\N{NO-BREAK SPACE}%"),
        (0.8, "percent", "80\N{NO-BREAK SPACE}%"),
        (14749, "count", "14,749"),
        (date(2026, 5, 31), "date", "31\N{NO-BREAK SPACE}May\N{NO-BREAK SPACE}2026"),
        (Decimal("860.000000000000"), "quantity", "860"),
        (True, "text", "yes"),
    ],
)
def test_a_value_is_rounded_for_reading(value: object, form: str, shown: str) -> None:
    assert show(value, form) == shown


def test_what_is_not_known_is_a_dash_and_never_a_zero() -> None:
    assert show(None, "usd") == "\N{EN DASH}"
    assert show(float("nan"), "ratio") == "\N{EN DASH}"


def test_a_small_rate_keeps_two_figures() -> None:
    assert show(0.00412, "rate") == "0.0041"
    assert show(1.7771, "rate") == "1.78"
    assert show(0, "rate") == "0.00"


def test_an_amount_that_rounds_to_nothing_has_no_minus() -> None:
    assert show(Decimal("-0.001"), "usd_cents") == "$0.00"


def test_a_unit_is_printed_where_no_heading_gives_it() -> None:
    assert show(Decimal("6.43"), "usd_per_ft", with_unit=True) == "$6.43/ft"
    assert show(Decimal("6.43"), "usd_per_ft") == "$6.43"


@pytest.mark.parametrize(
    ("value", "low", "high", "form", "shown", "between"),
    [
        # A width of 1.7 has its second figure in the tenths, one of 0.28 in the hundredths.
        (1.8743, 1.21, 2.91, "ratio", "1.9", "1.2 to 2.9"),
        (1.8743, 1.71, 1.99, "ratio", "1.87", "1.71 to 1.99"),
        # 8.8 % wide: tenths of a percent; 18.9 % wide: whole percent.
        (0.1237, 0.081, 0.169, "share", "12.4\N{NO-BREAK SPACE}%", "8.1\N{NO-BREAK SPACE}% to 16.9\N{NO-BREAK SPACE}%"),
        (0.1237, 0.04, 0.229, "share", "12\N{NO-BREAK SPACE}%", "4\N{NO-BREAK SPACE}% to 23\N{NO-BREAK SPACE}%"),
        # Money has cents or none: cents below a width of $10, tens from one of $100.
        (5.456, 4.9, 6.2, "usd_cents", "$5.46", "$4.90 to $6.20"),
        (25.456, 20.4, 30.5, "usd_cents", "$25", "$20 to $31"),
        (1237, 1109, 1391, "usd", "$1,240", "$1,110 to $1,390"),
        # An open end: twice the way to the end that is known, 2 x 1.03.
        (4.03, 3.0, None, "ratio", "4.0", "3.0 or more"),
        (0.41, None, 0.86, "ratio", "0.41", "up to 0.86"),
        # However wide the interval, a number keeps its first figure.
        (3.4, 0, 1250, "usd", "$3", "$0 to $1,300"),
        # A price that is asked stays as it is asked; its limits are an estimate's.
        (535, 472, 604, "price", "$535.00", "$470 to $600"),
        # An interval of no width, or none, sets no limit.
        (1.8743, 2, 2, "ratio", "1.87", "2.00 to 2.00"),
        (0.00412, 0.0009, 0.0121, "rate", "0.004", "0.0009 to 0.012"),
    ],
)
def test_no_digit_is_printed_that_the_interval_does_not_support(
    value: float, low: float | None, high: float | None, form: str, shown: str, between: str
) -> None:
    assert show(value, form, low=low, high=high) == shown
    assert show_range(value, low, high, form) == between


def test_what_has_no_interval_has_none_to_print() -> None:
    assert show_range(1.2, None, None, "ratio") is None


@pytest.mark.parametrize(
    ("value", "form", "shown"),
    [
        (0.00049, "chance", "under 0.1"),
        (0, "chance", "under 0.1"),
        (0.0005, "chance", "0.1"),
        (0.9994, "chance", "99.9"),
        (0.9996, "chance", "over 99.9"),
        (1, "chance", "over 99.9"),
        (0.0049, "whole_chance", "under 1"),
        (0.005, "whole_chance", "1"),
        (0.996, "whole_chance", "over 99"),
    ],
)
def test_a_chance_is_never_printed_as_none_or_certain(value: float, form: str, shown: str) -> None:
    assert show(value, form) == f"{shown}\N{NO-BREAK SPACE}%"


def test_a_setting_is_printed_as_it_was_given() -> None:
    assert show(Decimal("0.80"), "given_share") == "80\N{NO-BREAK SPACE}%"
    assert show(Decimal("0.0145"), "given_share") == "1.45\N{NO-BREAK SPACE}%"
    assert show(Decimal("40.000"), "given_number") == "40"
    assert show(Decimal("2.5"), "given_number") == "2.5"


def test_a_spacing_has_no_decimal_that_it_was_not_given_and_what_was_due_has_one() -> None:
    assert show(Decimal("9.000000"), "inches", with_unit=True) == "9\N{NO-BREAK SPACE}in"
    assert show(Decimal("7.5"), "inches") == "7.5"
    assert show(112.487, "expected") == "112.5"


@pytest.mark.parametrize(("value", "shown"), [(1.784, "1.8"), (0.987, "0.99"), (0.0648, "0.065"), (12.34, "12.3")])
def test_a_rate_of_few_has_two_figures_and_one_decimal_at_least(value: float, shown: str) -> None:
    assert show(value, "rate_of_few") == shown
