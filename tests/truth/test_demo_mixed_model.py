"""The mixed model of hours on the demo, against the same likelihood written out with whole matrices."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import numpy as np
import polars as pl
import pytest
from scipy.linalg import cholesky, solve_triangular
from scipy.optimize import minimize
from support.demo import SEASONS, closed

from pipeline.decisions.crews_design import usable_jobs
from pipeline.decisions.crews_fit import CrewFit, fit_crews
from pipeline.statistics.mixed import fit_mixed
from pipeline.warehouse import open_store

BRANCH = "Tarnholt"


@cache
def fitted() -> CrewFit:
    """The last season's fit of the crews of a branch."""
    with open_store(closed() / "perfoot.duckdb", read_only=True) as store:
        jobs = usable_jobs(store.read("facts.job_hours", SEASONS[-1])).filter(pl.col("branch") == BRANCH)
    found = fit_crews(jobs, seed=1)
    assert found is not None
    return found


def whole_reml(y: np.ndarray, x: np.ndarray, groups: np.ndarray) -> tuple[np.ndarray, float, float]:
    """Coefficients and both variances where -2 log of the restricted likelihood (Harville 1977, JASA 72) is least.

    V = s2 I + g2 Z Z' is built whole, n x n, and both variances are searched on the log scale: nothing is profiled out
    and no rule for blocks is used.
    """
    same = (groups[:, None] == groups[None, :]).astype(float)

    def parts(logs: np.ndarray) -> tuple[float, np.ndarray]:
        residual, between = np.exp(logs)
        root = cholesky(residual * np.eye(len(y)) + between * same, lower=True)
        white = solve_triangular(root, np.column_stack([x, y]), lower=True)
        b, squares, _, _ = np.linalg.lstsq(white[:, :-1], white[:, -1], rcond=None)
        information = white[:, :-1].T @ white[:, :-1]
        return float(2 * np.log(np.diag(root)).sum() + np.linalg.slogdet(information)[1] + squares[0]), b

    start = np.log([0.05, 0.01])
    found = minimize(lambda logs: parts(logs)[0], start, method="Nelder-Mead", options={"xatol": 1e-6, "fatol": 1e-9})
    residual, between = np.exp(found.x)
    return parts(found.x)[1], float(residual), float(between)


def test_the_solver_agrees_with_the_likelihood_written_out_whole() -> None:
    fit = fitted()
    x = np.column_stack([fit.branches[fit.groups], fit.design.matrix])
    own = fit_mixed(fit.tamed.y, x, fit.groups, fit.groups)
    b, residual, between = whole_reml(fit.tamed.y, x, fit.groups)
    assert own.residual_variance == pytest.approx(residual, rel=1e-4)
    assert own.inner_variance == pytest.approx(between, rel=1e-3)
    assert own.coefficients == pytest.approx(b, abs=1e-5)


def test_the_solver_agrees_with_statsmodels() -> None:
    """Its MixedLM on the same figures; tests/bench/second_library.json keeps what it found, and its version."""
    kept = json.loads((Path(__file__).parents[1] / "bench" / "second_library.json").read_text("utf-8"))["mixed"]
    fit = fitted()
    x = np.column_stack([fit.branches[fit.groups], fit.design.matrix])
    own = fit_mixed(fit.tamed.y, x, fit.groups, fit.groups)
    assert (len(fit.groups), fit.crews.height) == (kept["jobs"], kept["crews"])
    assert own.residual_variance == pytest.approx(kept["residual_variance"], rel=1e-4)
    assert own.inner_variance == pytest.approx(kept["crew_variance"], rel=1e-3)
    assert own.coefficients == pytest.approx(kept["coefficients"], abs=1e-5)


def test_the_effects_of_the_crews_are_those_of_a_regression_with_a_column_a_crew() -> None:
    """Numpy's least squares on columns of crews and terms, and its residual variance."""
    fit = fitted()
    x = fit.design.matrix
    columns = np.column_stack([np.eye(fit.crews.height)[fit.groups], x - x.mean(axis=0)])
    b, squares, rank, _ = np.linalg.lstsq(columns, fit.tamed.y, rcond=None)
    assert rank == columns.shape[1]
    assert fit.tamed.fit.effects == pytest.approx(b[: fit.crews.height])
    assert fit.tamed.fit.coefficients == pytest.approx(b[fit.crews.height :])
    assert fit.tamed.fit.residual_variance == pytest.approx(squares[0] / (len(fit.groups) - columns.shape[1]))
