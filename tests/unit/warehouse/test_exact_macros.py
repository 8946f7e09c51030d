"""The arithmetic of sql/macros/exact.sql against Python's whole numbers, at every size and at the ties."""

from __future__ import annotations

import random
from collections.abc import Iterator
from decimal import Decimal

import duckdb
import pytest

from pipeline.warehouse import open_store
from pipeline.warehouse.files import files_of

UNIT = 10**12


@pytest.fixture
def con() -> Iterator[duckdb.DuckDBPyConnection]:
    with open_store(":memory:") as store:
        for macro in files_of("macros"):
            store.con.execute(macro.text)
        yield store.con


def half_away(numerator: int, denominator: int) -> int:
    """A quotient rounded half away from zero."""
    sign = -1 if numerator < 0 else 1
    return sign * ((2 * abs(numerator) + denominator) // (2 * denominator))


def cut(numerator: int, denominator: int) -> int:
    """A quotient cut toward zero."""
    sign = -1 if (numerator < 0) != (denominator < 0) else 1
    return sign * (abs(numerator) // abs(denominator))


def units(amount: Decimal | None) -> int:
    assert amount is not None
    sign, digits, places = amount.as_tuple()
    assert isinstance(places, int)
    return (-1 if sign else 1) * int("".join(map(str, digits))) * 10 ** (12 + places)


def computed(
    con: duckdb.DuckDBPyConnection, what: str, rows: list[tuple[Decimal, ...]], types: str
) -> list[Decimal | None]:
    """An expression over the columns a, b, c for each of the rows; the types are those of the columns."""
    names = "abc"[: len(rows[0])]
    texts = [[format(value, "f") for value in column] for column in zip(*rows, strict=True)]
    unnested = ", ".join(
        f"unnest(?::varchar[])::decimal({kind}) as {name}" for name, kind in zip(names, types.split(), strict=True)
    )
    found = con.execute(f"select {what} from (select unnest(range({len(rows)})) as n, {unnested}) order by n", texts)
    return [value for (value,) in found.fetchall()]


def drawn(chance: random.Random, most: int, places: int) -> Decimal:
    """A number of any size up to 10 to the `most`, with so many decimals."""
    whole = chance.randint(-(10 ** chance.randint(0, most + places)), 10 ** chance.randint(0, most + places))
    return Decimal(whole).scaleb(-places)


def test_a_share_is_the_whole_numbers_quotient_cut_to_12_decimals_at_every_size(con: duckdb.DuckDBPyConnection) -> None:
    chance = random.Random(7)
    rows: list[tuple[Decimal, ...]] = [
        (drawn(chance, 8, 12), drawn(chance, 5, 12), drawn(chance, 6, 12)) for _ in range(20_000)
    ]
    rows += [(Decimal(9_400_000), Decimal(1), Decimal("0.5")), (Decimal(99_000_000), Decimal(1_000_000), Decimal("-3"))]
    shares = computed(con, "mul_div(a, b, c)", rows, "38,12 26,12 38,12")
    for (amount, part, whole), share in zip(rows, shares, strict=True):
        if not whole:
            assert share is None
        else:
            assert units(share) == cut(units(amount) * units(part), units(whole)), (amount, part, whole)


def test_a_product_is_rounded_half_away_from_zero_at_12_decimals(con: duckdb.DuckDBPyConnection) -> None:
    chance = random.Random(8)
    rows: list[tuple[Decimal, ...]] = [
        (drawn(chance, 4, chance.choice((2, 6, 7, 12))), drawn(chance, 3, chance.choice((2, 6, 12))))
        for _ in range(5_000)
    ]
    # Two ties: half of the last unit, once above and once below zero.
    rows += [(Decimal("0.000000000001"), Decimal("0.5")), (Decimal("-0.000000000001"), Decimal("0.5"))]
    products = computed(con, "exact_product(a, b)", rows, "26,12 26,12")
    for (a, b), product in zip(rows, products, strict=True):
        assert units(product) == half_away(units(a) * units(b), UNIT), (a, b)


def test_a_rate_of_15_decimals_is_applied_exactly_and_rounded_half_away_from_zero(
    con: duckdb.DuckDBPyConnection,
) -> None:
    chance = random.Random(9)
    rows: list[tuple[Decimal, ...]] = [
        (drawn(chance, 5, 12), Decimal(chance.randint(0, 3 * 10**15)).scaleb(-15)) for _ in range(5_000)
    ]
    rows += [(Decimal("0.000000000005"), Decimal("0.1")), (Decimal("-0.000000000005"), Decimal("0.1"))]
    amounts = computed(con, "by_rate(a, b)", rows, "26,12 18,15")
    for (a, rate), amount in zip(rows, amounts, strict=True):
        assert units(amount) == half_away(units(a) * units(rate.scaleb(3)), 10**15), (a, rate)
