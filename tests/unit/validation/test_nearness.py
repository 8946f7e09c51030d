"""One slip of the hand between two names."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.validation.nearness import Near, is_one_slip

NUMBERS = st.text(alphabet="0123456789", min_size=1, max_size=6)


@pytest.mark.parametrize(
    ("written", "known"),
    [("1043", "1042"), ("104", "1042"), ("042", "1042"), ("10422", "1042"), ("1402", "1042"), ("0142", "1042")],
)
def test_a_character_changed_missing_added_or_two_swapped(written: str, known: str) -> None:
    assert is_one_slip(written, known)
    assert is_one_slip(known, written)


@pytest.mark.parametrize("written", ["1042", "1024x", "2401", "12", "104299", "4102"])
def test_what_is_more_or_less_than_one_slip(written: str) -> None:
    assert not is_one_slip(written, "1042")


@given(st.sets(NUMBERS, max_size=30), NUMBERS)
def test_the_look_up_finds_what_comparing_with_each_finds(known: set[str], written: str) -> None:
    near = [name for name in known if is_one_slip(written, name)]
    assert Near(known).one(written) == (near[0] if len(near) == 1 else None)
