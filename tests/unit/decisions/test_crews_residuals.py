"""Whether the model of hours fits small jobs as it fits large ones."""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from scipy.stats import t as student

from pipeline.decisions.crews_residuals import EVEN, FEWER, MORE, SCHEMA, residual_classes
from pipeline.decisions.policy import WILD_BOUND

SCORES = np.random.default_rng(4).normal(0, 1, 50)


def jobs(scores: np.ndarray) -> pl.DataFrame:
    """Jobs of 1 h, 2 h, ... by the model."""
    count = len(scores)
    return pl.DataFrame(
        {"season": pl.Series([2031] * count, dtype=pl.Int32), "branch": ["main"] * count,
         "job_no": [f"{n:03d}" for n in range(count)], "fitted_hours": np.arange(1.0, count + 1), "score": scores}
    )  # fmt: skip


def test_five_classes_have_equally_many_jobs_and_the_limits_of_a_mean_among_five() -> None:
    rows = residual_classes(jobs(SCORES)).to_dicts()
    assert [row["jobs"] for row in rows] == [10] * 5
    assert [(row["least_hours"], row["most_hours"]) for row in rows][:2] == [(1, 10), (11, 20)]
    assert rows[0]["middle_hours"] == 5.5
    own = SCORES[:10]
    reach = student.ppf(1 - 0.05 / 10, 9) * own.std(ddof=1) / 10**0.5
    assert (rows[0]["score"], rows[0]["low"]) == pytest.approx((own.mean(), own.mean() - reach))
    assert {row["told"] for row in rows} == {EVEN}


def test_a_class_that_takes_more_or_fewer_hours_than_the_model_says_is_told() -> None:
    shifted = SCORES + np.repeat([1.5, 0, 0, 0, -1.5], 10)
    assert residual_classes(jobs(shifted))["told"].to_list() == [MORE, EVEN, EVEN, EVEN, FEWER]


def test_one_wild_job_does_not_make_its_class_uneven() -> None:
    """It counts as if it lay at the bound, as it does in the fit."""
    wild = SCORES.copy()
    wild[0] = 40
    rows = residual_classes(jobs(wild)).to_dicts()
    assert rows[0]["told"] == EVEN
    assert rows[0]["score"] == pytest.approx((SCORES[1:10].sum() + WILD_BOUND) / 10)


@pytest.mark.parametrize(("count", "classes"), [(15, 0), (16, 2), (39, 4), (40, 5)])
def test_classes_have_eight_jobs_each_and_one_class_says_nothing(count: int, classes: int) -> None:
    found = residual_classes(jobs(SCORES[:count]))
    assert found.height == classes
    assert list(found.schema) == list(SCHEMA)
