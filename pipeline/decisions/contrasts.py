"""Every pair of crews of a branch: which is faster, how sure, and how far their houses are alike."""

from __future__ import annotations

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.crews_fit import CrewFit
from pipeline.decisions.policy import HOUSE_CLASSES, LITTLE_OVERLAP, WRONG_CREW_CHANCE

Floats = NDArray[np.float64]

SCHEMA = {
    "season": pl.Int32, "branch": pl.String, "crew": pl.String, "other_crew": pl.String, "jobs": pl.Int64,
    "other_jobs": pl.Int64, "ratio": pl.Float64, "low": pl.Float64, "high": pl.Float64, "all_low": pl.Float64,
    "all_high": pl.Float64, "adjusted_chance": pl.Float64, "chance_faster": pl.Float64, "told_apart": pl.Boolean,
    "houses_alike": pl.Float64, "note": pl.String,
}  # fmt: skip


def houses_alike(fit: CrewFit) -> Floats:
    """Share of houses alike, a row and a column a crew.

    Houses are put into classes, equally many of a branch in each, by the hours a foot that the model expects of them;
    two crews' shares of a class are alike by the lesser. 1: the same mix of houses; 0: no class in common.
    """
    difficulty = fit.design.matrix @ fit.tamed.fit.coefficients - np.log(fit.jobs["feet"].to_numpy())
    branch = fit.branches.argmax(axis=1)[fit.groups]
    shares = np.zeros((fit.crews.height, HOUSE_CLASSES))
    for place in np.unique(branch):
        own = np.flatnonzero(branch == place)
        ranks = difficulty[own].argsort(kind="stable").argsort(kind="stable")
        np.add.at(shares, (fit.groups[own], ranks * HOUSE_CLASSES // len(own)), 1)
    shares /= shares.sum(axis=1, keepdims=True)
    return np.minimum(shares[:, None, :], shares[None, :, :]).sum(axis=2)


def _note(crew: str, other: str, ratio: float, told_apart: bool, alike: float) -> str:
    if told_apart:
        fast, slow = (crew, other) if ratio < 1 else (other, crew)
        said = f"{fast} took fewer hours than {slow} on equal houses"
    else:
        said = f"{crew} and {other} cannot be told apart on these houses"
    few = "; their houses were so unlike that this rests on the model more than on the houses"
    return said + (few if alike < LITTLE_OVERLAP else "")


def contrasts(fit: CrewFit, drawn: Floats) -> pl.DataFrame:
    """Rows of decisions.crew_contrasts, from a fit and draws of the crews' pooled effects."""
    limits = fit.limits(fit.pairs)
    alike = houses_alike(fit)
    names, branches = fit.crews["crew"].to_list(), fit.crews["branch"].to_list()
    jobs = np.bincount(fit.groups)
    season = fit.jobs["season"][0]
    rows = []
    for n, (a, b) in enumerate(fit.pair_of):
        apart = bool(limits.adjusted[n] < WRONG_CREW_CHANCE)
        ratio = float(limits.ratio[n])
        rows.append(
            {
                "season": season, "branch": branches[a], "crew": names[a], "other_crew": names[b],
                "jobs": jobs[a], "other_jobs": jobs[b], "ratio": ratio, "low": limits.low[n], "high": limits.high[n],
                "all_low": limits.all_low[n], "all_high": limits.all_high[n], "adjusted_chance": limits.adjusted[n],
                "chance_faster": float((drawn[:, a] < drawn[:, b]).mean()), "told_apart": apart,
                "houses_alike": alike[a, b], "note": _note(names[a], names[b], ratio, apart, float(alike[a, b])),
            }
        )  # fmt: skip
    return pl.DataFrame(rows, schema=SCHEMA, orient="row")
