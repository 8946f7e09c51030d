"""Made seasons: how far a rate card is off in a kind of work, in its own season and in the next."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from support.card_trials import summary, trial

from pipeline.decisions.policy import SEGMENT_ERROR

TRIED = 8
KEPT = Path(__file__).parents[1] / "bench" / "rate_cards.json"


def test_no_kind_of_work_is_off_by_more_than_its_bound_beyond_luck_nor_under_water() -> None:
    found = summary([trial(70_000 + seed) for seed in range(TRIED)])
    for which in ("own", "next"):
        assert len(found[which]) > 12
        for kind, row in found[which].items():
            if row["seasons"] == TRIED:
                assert abs(row["mean_error"]) <= SEGMENT_ERROR + 2 * row["standard_error"], (which, kind)
            assert row["least_over_cost"] > 1, (which, kind)


@pytest.mark.parametrize("which", ["own", "next"])
def test_what_four_hundred_made_pairs_of_seasons_showed_is_within_the_bound(which: str) -> None:
    kept = json.loads(KEPT.read_text(encoding="utf-8"))
    assert kept["pairs_of_seasons"] == 400
    for kind, row in kept[which].items():
        assert abs(row["mean_error"]) + 2 * row["standard_error"] <= SEGMENT_ERROR, kind
        assert row["least_over_cost"] > 1, kind
