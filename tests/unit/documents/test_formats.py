"""How values are printed."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from pipeline.documents.formats import show


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
