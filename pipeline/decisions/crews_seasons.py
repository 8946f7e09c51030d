"""Crews over several seasons: the pace that lasts, told from what each season made of it."""

from __future__ import annotations

import numpy as np
import polars as pl

from pipeline.decisions.crews_design import design
from pipeline.decisions.crews_fit import comparable, less_the_mean, numbered
from pipeline.decisions.policy import CREW_DRAWS, MIN_SEASONS, WILD_BOUND

SCHEMA = {
    "branch": pl.String, "crew": pl.String, "lasting_seasons": pl.Int32, "lasting_ratio": pl.Float64,
    "lasting_low": pl.Float64, "lasting_high": pl.Float64,
}  # fmt: skip


def lasting_pace(jobs: pl.DataFrame, season: int, *, seed: int) -> tuple[pl.DataFrame, dict[str, float]]:
    """The lasting ratio of each crew that is compared in `season`, the last of `jobs` (as `usable_jobs` gives them).

    From log hours with a random effect a crew and a random effect a crew and season, from MIN_SEASONS seasons on; the
    ratio is against the mean of the branch's crews of the last season. Returns no rows with fewer seasons, and the
    spreads by REML (lasting_crew_spread, crew_season_spread, as shares) for the method.
    """
    from pipeline.statistics.mixed import fit_mixed
    from pipeline.statistics.mixed_pooled import pooled_draws
    from pipeline.statistics.robust import tame

    nothing: tuple[pl.DataFrame, dict[str, float]] = pl.DataFrame(schema=SCHEMA), {}
    cells = comparable(jobs)
    if cells["season"].n_unique() < MIN_SEASONS:
        return nothing
    crews = cells.select("branch", "crew").unique(maintain_order=True)
    fitted, groups = numbered(jobs, cells)
    _, owner = numbered(cells, crews)
    found = design(fitted, groups)
    tamed = tame(np.log(fitted["hours"].to_numpy()), found.matrix, groups, WILD_BOUND)
    means = (
        cells.select(pl.col("season").cast(pl.String) + "|" + pl.col("branch")).to_dummies().to_numpy().astype(float)
    )
    drawn = pooled_draws(tamed.fit, means, np.eye(crews.height)[owner], True, CREW_DRAWS, seed)
    last = cells.filter(pl.col("season") == season)
    here = crews.with_row_index("n").join(last, on=["branch", "crew"], how="semi", maintain_order="left")
    centred = drawn[:, here["n"].to_numpy()] @ less_the_mean(here.select("branch")).T
    middle, low, high = np.exp(np.quantile(centred, [0.5, 0.025, 0.975], axis=0))
    counts = np.bincount(owner, minlength=crews.height)[here["n"].to_numpy()]
    rows = here.select("branch", "crew").with_columns(
        lasting_seasons=pl.Series(counts, dtype=pl.Int32), lasting_ratio=pl.Series(middle),
        lasting_low=pl.Series(low), lasting_high=pl.Series(high),
    )  # fmt: skip
    mixed = fit_mixed(tamed.y, np.column_stack([means[groups], found.matrix]), owner[groups], groups)
    spreads = {
        "lasting_crew_spread": float(np.expm1(np.sqrt(mixed.outer_variance))),
        "crew_season_spread": float(np.expm1(np.sqrt(mixed.inner_variance))),
    }
    return rows, spreads
