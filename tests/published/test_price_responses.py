"""Responses to price and the best price, against published values and cases that can be worked by hand."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import minimize

from pipeline.statistics.responses import best_price, break_even_loss, chances, fit_response, is_separated, maximise

# Dalal, Fowlkes and Hoadley 1989, JASA 84: joint temperature in degrees F at the 23 launches before flight 51-L, and
# whether a field joint's ring was hurt. Logistic regression there: 15.0429 - .2322 x temperature; standard errors
# 7.3786 and .1082 (Agresti, Categorical Data Analysis).
TEMPERATURES = [66, 70, 69, 68, 67, 72, 73, 70, 57, 63, 70, 78, 67, 53, 67, 75, 70, 81, 76, 79, 75, 76, 58]
HURT = [0, 1, 0, 0, 0, 0, 0, 0, 1, 1, 1, 0, 0, 1, 0, 0, 0, 0, 0, 0, 1, 0, 1]


def with_ones(*columns: object) -> np.ndarray:
    arrays = [np.asarray(column, dtype=float) for column in columns]
    return np.column_stack([np.ones(len(arrays[0])), *arrays])


def test_a_logistic_regression_gives_the_published_coefficients() -> None:
    found, covariance = maximise(with_ones(TEMPERATURES), np.array(HURT, dtype=bool), is_penalised=False)
    assert_allclose(found, [15.0429, -0.2322], atol=6e-5)
    assert_allclose(np.sqrt(np.diag(covariance)), [7.3786, 0.1082], atol=6e-5)


# Milicer and Szczotka 1966, Human Biology 38: girls of Warsaw by mean age, and those of them who had reached menarche;
# carried by the R package MASS as `menarche`. Venables and Ripley, Modern Applied Statistics with S: logistic
# regression -21.2264 + 1.6320 x age, standard errors .7707 and .0590 (data and figures mem.).
AGES = [9.21, 10.21, 10.58, 10.83, 11.08, 11.33, 11.58, 11.83, 12.08, 12.33, 12.58, 12.83, 13.08, 13.33, 13.58, 13.83,
        14.08, 14.33, 14.58, 14.83, 15.08, 15.33, 15.58, 15.83, 17.58]  # fmt: skip
GIRLS = [376, 200, 93, 120, 90, 88, 105, 111, 100, 93, 100, 108, 99, 106, 105, 117, 98, 97, 120, 102, 122, 111, 94, 114,
         1049]  # fmt: skip
REACHED = [0, 0, 0, 2, 2, 5, 10, 17, 16, 29, 39, 51, 47, 67, 81, 88, 79, 90, 113, 95, 117, 107, 92, 112, 1049]


def test_a_published_set_that_a_package_carries_is_fitted_as_published() -> None:
    age = np.repeat(np.array(AGES * 2), REACHED + [all_ - some for all_, some in zip(GIRLS, REACHED, strict=True)])
    reached = np.arange(len(age)) < sum(REACHED)
    found, covariance = maximise(with_ones(age), reached, is_penalised=False)
    assert_allclose(found, [-21.2264, 1.6320], atol=6e-5)
    assert_allclose(np.sqrt(np.diag(covariance)), [0.7707, 0.0590], atol=1e-4)


def reweighted(design: np.ndarray, won: np.ndarray) -> np.ndarray:
    """Coefficients by iteratively reweighted least squares, another way than the product's."""
    at = np.zeros(design.shape[1])
    for _ in range(50):
        log_odds = design @ at
        chance = 1 / (1 + np.exp(-log_odds))
        root = np.sqrt(chance * (1 - chance))
        at = np.linalg.lstsq(design * root[:, None], (log_odds + (won - chance) / root**2) * root, rcond=None)[0]
    return at


def made_quotes() -> tuple[np.ndarray, np.ndarray]:
    """300 quotes: an intercept, price beside like houses', size and stories; and whether each was won."""
    rng = np.random.default_rng(8)
    design = with_ones(rng.normal(0, 0.2, 300), rng.normal(5, 0.4, 300), rng.integers(1, 4, 300))
    return design, rng.random(300) < 1 / (1 + np.exp(3 * design[:, 1] + 0.3 * (design[:, 3] - 2)))


def test_several_columns_are_fitted_as_reweighted_least_squares_fits_them() -> None:
    design, won = made_quotes()
    found, _ = maximise(design, won, is_penalised=False)
    assert_allclose(found, reweighted(design, won.astype(float)), atol=1e-8)


def test_several_columns_are_fitted_as_statsmodels_fits_them() -> None:
    """Its Logit on the same quotes; tests/bench/second_library.json keeps what it found, and its version."""
    kept = json.loads((Path(__file__).parents[1] / "bench" / "second_library.json").read_text("utf-8"))["logistic"]
    design, won = made_quotes()
    found, covariance = maximise(design, won, is_penalised=False)
    assert len(won) == kept["quotes"]
    assert_allclose(found, kept["coefficients"], atol=1e-7)
    assert_allclose(np.sqrt(np.diag(covariance)), kept["standard_errors"], rtol=1e-6)


@pytest.mark.parametrize(("a", "b", "c", "d"), [(12, 3, 5, 20), (7, 0, 4, 6), (5, 0, 0, 8)])
def test_firth_s_penalty_on_two_by_two_counts_adds_one_half_to_each(a: int, b: int, c: int, d: int) -> None:
    # Firth 1993: in the saturated model Jeffreys' prior is half a case in each cell, so the log odds ratio is known.
    dear = np.repeat([0.0, 0.0, 1.0, 1.0], [a, b, c, d])
    won = np.repeat([True, False, True, False], [a, b, c, d])
    found, _ = maximise(with_ones(dear), won, is_penalised=True)
    assert_allclose(found[0], np.log((a + 0.5) / (b + 0.5)), atol=1e-7)
    assert_allclose(found[1], np.log((c + 0.5) * (b + 0.5) / ((d + 0.5) * (a + 0.5))), atol=1e-7)


def test_firth_s_fit_is_where_a_general_optimiser_finds_the_penalised_likelihood_largest() -> None:
    design, won = with_ones((np.array(TEMPERATURES) - 70) / 10), np.array(HURT, dtype=bool)

    def loss(at: np.ndarray) -> float:
        chance = 1 / (1 + np.exp(-design @ at))
        information = design.T @ np.diag(chance * (1 - chance)) @ design
        likelihood = np.log(np.where(won, chance, 1 - chance)).sum()
        return -float(likelihood + 0.5 * np.log(np.linalg.det(information)))

    expected = minimize(loss, [0.0, 0.0], method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-12}).x
    assert_allclose(maximise(design, won, is_penalised=True)[0], expected, atol=1e-5)


def test_as_many_are_expected_to_win_as_won() -> None:
    design, won = with_ones((np.array(TEMPERATURES) - 70) / 10), np.array(HURT, dtype=bool)
    response = fit_response(design, won)
    assert chances(design @ response.coefficients).sum() == pytest.approx(7.0)
    assert response.coefficients[1] == maximise(design, won, is_penalised=True)[0][1]


def test_outcomes_that_the_price_tells_apart_are_said_to_be_separated_and_still_fitted() -> None:
    prices, won = with_ones([6, 7, 8, 9, 10, 11]), np.array([True, True, True, False, False, False])
    assert is_separated(prices, won)
    response = fit_response(prices, won)
    assert response.is_separated
    assert np.isfinite(response.coefficients).all()
    assert response.coefficients[1] < 0
    # One that was won above one that was lost: they overlap. On the line itself counts as apart (quasi-separation).
    assert not is_separated(prices, np.array([True, True, False, True, False, False]))
    assert is_separated(with_ones([6, 7, 8, 8, 9, 10]), won)
    with pytest.raises(ValueError, match=r"told apart completely|no single answer"):
        maximise(prices, won, is_penalised=False)


def test_one_outcome_alone_and_columns_that_depend_on_each_other_are_refused() -> None:
    with pytest.raises(ValueError, match="both outcomes"):
        fit_response(with_ones([1, 2, 3]), np.array([True, True, True]))
    with pytest.raises(ValueError, match="depend on each other"):
        fit_response(with_ones([1, 2, 3, 4], [2, 4, 6, 8]), np.array([True, False, True, False]))


def test_the_best_price_of_a_linear_response_is_8_75() -> None:
    # Phillips, Pricing and Revenue Optimization: 10,000 - 800 p at a cost of 5. By hand: (12.5 + 5) / 2 = 8.75.
    assert best_price(lambda p: (p - 5) * (10_000 - 800 * p), 5, 12.5) == pytest.approx(8.75, abs=1e-5)


def test_the_best_price_of_a_constant_elasticity_is_93_33() -> None:
    # By hand: e / (e - 1) x cost = 2.154 / 1.154 x 50 = 93.33; what is left there is 9,343.95.
    def left(p: float) -> float:
        return (p - 50) * 3_777_178 * p**-2.154

    found = best_price(left, 50, 300)
    assert found == pytest.approx(2.154 / 1.154 * 50, abs=1e-3)
    assert left(found) == pytest.approx(9_343.95, abs=0.05)


def test_the_best_revenue_of_a_logistic_response_is_at_17_33() -> None:
    # Sold at 14, 17, 18, 19 and 22: 461, 493, 469, 339 and 60. Fitted: 490.6165 x the chance at (19.9344 - p) / .8935.
    def revenue(p: float) -> float:
        return p * 490.6165 * float(chances(np.array((19.9344 - p) / 0.8935)))

    assert best_price(revenue, 14, 22) == pytest.approx(17.33, abs=0.005)


def test_a_rise_that_loses_its_break_even_share_leaves_what_there_was() -> None:
    # A job of 1,000 that leaves 400: 100 such leave 40,000. At 1,100 each leaves 500, and 80 of them leave 40,000.
    assert break_even_loss(0.10, 0.40) == pytest.approx(0.20)
    # A cut of 10 % leaves 300 a job: 40,000 / 300 = 133.3 jobs, a third more.
    assert break_even_loss(-0.10, 0.40) == pytest.approx(-1 / 3)
    with pytest.raises(ValueError, match="nothing would be left"):
        break_even_loss(-0.40, 0.40)
