"""Next season's need, drawn."""

from __future__ import annotations

from decimal import Decimal
from math import sqrt

import numpy as np
import polars as pl
import pytest
from support.season_frames import SEASON, job_items, property_seasons, settings, shuffled

from pipeline.decisions.demand import Demand, new_jobs, next_season, resampled, returning

NONE = property_seasons([{}]).clear()
THREE = {"new_jobs_low": "3", "new_jobs_likely": "3", "new_jobs_high": "3"}
NEW = {"net": Decimal(100), "built": Decimal(80)}
REPEAT = {"work": "repeat", "net": Decimal(5), "built": Decimal(80)}


def drawn(rows: list[dict], properties: pl.DataFrame = NONE, **given: str) -> Demand:
    return next_season(job_items(rows), properties, settings(**given), season=SEASON, seed=1)


def test_new_work_takes_what_new_jobs_took_offcut_and_all() -> None:
    """Three jobs at 100 ft issued for 80 ft built."""
    demand = drawn([NEW] * 4, **THREE)
    assert demand.new == pytest.approx(np.full_like(demand.new, 300.0))


def test_where_no_issue_was_written_down_the_built_quantity_is_needed() -> None:
    demand = drawn([{"net": Decimal(0), "built": Decimal(80)}] * 4, **THREE)
    assert demand.new == pytest.approx(np.full_like(demand.new, 240.0))


def test_a_job_is_drawn_whole() -> None:
    """A job of line LL has bulbs BB, one a foot: drawn together they stay equal, and lie between 3 x 60 and 3 x 200."""
    rows = []
    for n, feet in enumerate((60, 120, 200)):
        rows += [{"job_no": str(n), "item_no": item, "net": Decimal(feet), "built": Decimal(feet)}
                 for item in ("LL", "BB")]  # fmt: skip
    demand = drawn(rows, **THREE)
    assert (demand.new[:, 0] == demand.new[:, 1]).all()
    assert demand.new.min() >= 180
    assert demand.new.max() <= 600
    assert demand.new[:, 0].mean() == pytest.approx(3 * 380 / 3, rel=0.02)


def test_returning_properties_take_replacements_and_the_others_give_goods_back() -> None:
    """Two leased properties: if both return they take 2 x 5; if none does, 2 x 80 come back, half of them usable."""
    rows = [NEW, REPEAT | {"terms": "leased"}, REPEAT | {"terms": "leased"}]
    homes = property_seasons([{}, {}])
    back = drawn(rows, homes, return_rate="1", new_jobs_low="0", new_jobs_likely="0", new_jobs_high="0")
    assert (back.replaced == 10).all()
    assert (back.back == 0).all()
    gone = drawn(rows, homes, return_rate="0", **THREE)
    assert (gone.replaced == 0).all()
    assert (gone.back == 80).all()
    assert (gone.needs == 300 - 80).all()


def test_goods_that_were_sold_do_not_come_back() -> None:
    gone = drawn([NEW, REPEAT], property_seasons([{"terms": "sold"}] * 2), return_rate="0", **THREE)
    assert (gone.back == 0).all()


def test_more_coming_back_than_is_needed_is_a_need_of_nothing() -> None:
    rows = [NEW, REPEAT | {"terms": "leased", "built": Decimal(900)}]
    gone = drawn(rows, property_seasons([{}] * 4), return_rate="0", **THREE)
    assert (gone.needs == 0).all()


def test_the_chance_of_returning_comes_from_pairs_of_seasons_by_terms() -> None:
    """Of 100 leased 90 came back, of 100 sold 60. Beta means 91 / 102 and 61 / 102, times 50 properties each."""
    past = [{"season": SEASON - 1, "terms": terms, "returned": n < came, "property_no": f"{terms}{n}"}
            for terms, came in (("leased", 90), ("sold", 60)) for n in range(100)]  # fmt: skip
    now = [{"terms": terms, "property_no": f"now{terms}{n}"} for terms in ("leased", "sold") for n in range(50)]
    rng = np.random.default_rng(1)
    out, said = returning(property_seasons(past + now), settings(return_rate="0.1"), SEASON, rng)
    for terms, mean in (("leased", 50 * 91 / 102), ("sold", 50 * 61 / 102)):
        come, gone = out[terms]
        assert come.mean() == pytest.approx(mean, abs=0.3)
        assert (come + gone == 50).all()
    assert "150 of 200 properties" in said


def test_pairs_of_a_later_season_are_not_used() -> None:
    later = property_seasons([{"returned": True}, {"season": SEASON + 1}])
    _, said = returning(later, settings(), SEASON, np.random.default_rng(1))
    assert "left out" in said


def test_a_single_season_leaves_returns_out_and_says_so() -> None:
    demand = drawn([NEW, REPEAT | {"terms": "leased"}], property_seasons([{}] * 9), **THREE)
    assert not demand.replaced.any()
    assert not demand.back.any()
    assert any("return_rate is not given" in note for note in demand.notes)


def test_the_number_of_new_jobs_is_triangular_between_the_settings() -> None:
    """Mean (80 + 102 + 128) / 3."""
    rng = np.random.default_rng(1)
    counts, _ = new_jobs([90], settings(new_jobs_low="80", new_jobs_likely="102", new_jobs_high="128"), rng)
    assert counts.min() >= 80
    assert counts.max() <= 128
    assert counts.mean() == pytest.approx(310 / 3, abs=0.6)


def test_settings_out_of_order_are_not_used_and_said() -> None:
    rng = np.random.default_rng(1)
    counts, notes = new_jobs([90], settings(new_jobs_low="80", new_jobs_likely="70", new_jobs_high="128"), rng)
    assert counts.mean() == pytest.approx(90, abs=1)
    assert "do not rise" in notes[0]


@pytest.mark.parametrize(("seasons", "spread"), [([100], 10.0), ([60, 140, 100], 40.0), ([99, 101, 100], 10.0)])
def test_else_new_jobs_vary_as_the_seasons_did_and_at_least_as_chance_does(seasons: list[int], spread: float) -> None:
    """One season: sqrt(100). 60, 140, 100: deviation 40. 99, 101, 100: 1, but chance alone makes 10."""
    counts, _ = new_jobs(seasons, settings(), np.random.default_rng(1))
    assert counts.mean() == pytest.approx(100, abs=3 * spread / sqrt(len(counts)))
    assert counts.std() == pytest.approx(spread, rel=0.05)


def test_drawing_no_jobs_or_from_no_jobs_takes_nothing() -> None:
    rng = np.random.default_rng(1)
    assert not resampled(np.array([[5.0, 2.0]]), np.zeros(3, dtype=np.int64), rng).any()
    assert not resampled(np.zeros((0, 2)), np.full(3, 7), rng).any()


def test_the_order_of_the_rows_does_not_matter() -> None:
    rows = job_items([NEW, NEW | {"net": Decimal(60)}, REPEAT, REPEAT | {"item_no": "BB", "terms": "leased"}])
    homes = property_seasons([{"returned": n % 3 > 0, "season": SEASON - 1} for n in range(9)] + [{}] * 4)
    one, two = (
        next_season(a, b, settings(), season=SEASON, seed=1)
        for a, b in ((rows, homes), (shuffled(rows), shuffled(homes)))
    )
    assert one.items == two.items
    assert (one.needs == two.needs).all()
