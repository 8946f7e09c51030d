"""Do the limits of failures hold the truth of made seasons as often as they say?

    OPENBLAS_NUM_THREADS=1 python -m tests.bench.failures FOLDER [SEASONS]

1,000 made seasons with clusters at each of 3, 5 and 12 crews; beside them as many with Poisson counts, and with kinds
that do not differ. A run that was stopped goes on from what it left in FOLDER. Writes failures.json beside this file.
Its seeds are not those on which anything was chosen.
"""

from __future__ import annotations

import json
import sys
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import polars as pl

from pipeline import __version__
from pipeline.decisions.connections import price_connections
from pipeline.decisions.failures import season_failures
from pipeline.settings import Settings
from pipeline.statistics import dispersion
from pipeline.statistics.rates import NIGHTS
from tests.bench.made_failures import AGEING, SEASON, Made, World, make_season
from tests.bench.seasons import Values, summed_up, worked

SEASONS = 1_000
FIRST_SEED = 30_000_000
RESULT = Path(__file__).with_suffix(".json")
WORLDS = {
    "3 crews": World(3), "5 crews": World(5), "12 crews": World(12), "Poisson counts": World(5, clustered=False),
    "kinds alike": World(5, kinds_differ=False),
}  # fmt: skip
GOODS = pl.DataFrame(schema={"made_for": pl.String})


def _held(low: float | None, truth: float, high: float | None) -> bool:
    return (low is None or low <= truth) and (high is None or truth <= high)


def _priced(made: Made, kinds: pl.DataFrame, seed: int) -> list[bool]:
    """Whether the limits of each kind's price hold its true rate times the true cost of a fault."""
    service = made.costs.select(
        pl.col("calls").sum(), pl.col("points").sum().alias("failed_points"),
        (pl.col("service_usd").sum() / pl.col("points").sum()).alias("usd_per_point"),
    )  # fmt: skip
    found = price_connections(
        kinds, service, made.costs, GOODS, Settings(), loaded_usd_per_hour=None, seed=seed
    ).table.to_dicts()
    nights = dict(made.counts.select("kind", "connection_nights").iter_rows())
    return [
        _held(r["low"], made.rates[r["kind"]] * nights[r["kind"]] / r["connections"] * made.fault_usd, r["high"])
        for r in found
    ]


def held_in_season(made: Made, seed: int) -> Values:
    """Shares of the season's intervals that hold the truth, and whether anything was claimed."""
    found = season_failures(made.counts, made.weeks, season=SEASON, seed=seed)
    kinds = found.kinds.to_dicts()
    crews = found.groups.filter(pl.col("view") == "crew").to_dicts()
    true = {r["kind"]: made.rates[r["kind"]] * NIGHTS for r in kinds}
    ages = found.terms.filter(pl.col("term") == "age").to_dicts()
    out = {
        "rates of kinds": np.mean([_held(r["low"], true[r["kind"]], r["high"]) for r in kinds]),
        "pooled rates of kinds": np.mean([_held(r["pooled_low"], true[r["kind"]], r["pooled_high"]) for r in kinds]),
        "ratios of crews": np.mean(
            [_held(r["ratio_low"], made.crew_ratios[r["name"]], r["ratio_high"]) for r in crews]
        ),
        "pooled ratios of crews": np.mean(
            [_held(r["pooled_low"], made.crew_ratios[r["name"]], r["pooled_high"]) for r in crews]
        ),
        "prices of kinds": np.mean(_priced(made, found.kinds, seed)),
        "pairs of kinds": np.mean(
            [_held(r["low"], true[r["kind"]] / true[r["other"]], r["high"]) for r in found.ratios.to_dicts()]
        ),
        "seasons with a pair told apart": float(found.ratios["told_apart"].any()),
        "seasons with a week called out of the ordinary": float((found.weeks["beyond"] != "inside").any()),
        "seasons said to have clusters": float((found.dispersion["chance"] < 0.05)[1]),
        "best crew by raw rate": float(_best(crews, "per_1000_connection_nights") == _truly_best(made)),
        "best crew by failed / due": float(_best(crews, "ratio") == _truly_best(made)),
    }
    if ages:
        # Ageing is linear in the made seasons and fitted as a factor: the factor of the middle of 0 to 3 seasons.
        middle = ((1 + 3 * AGEING) / 1) ** (1 / 3)
        out["multiplier of age"] = float(_held(ages[0]["low"], middle, ages[0]["high"]))
    return {name: float(value) for name, value in out.items()}


def _best(crews: list[dict], by: str) -> str:
    return str(min(crews, key=lambda r: (r[by], r["name"]))["name"])


def _truly_best(made: Made) -> str:
    return min(made.crew_ratios, key=lambda crew: made.crew_ratios[crew])


def main(folder: Path, seasons: int) -> None:
    """Work every world's seasons and write the result."""
    # The chance of clustering needs no more to be told from .05, and nothing else uses these draws.
    dispersion.MOST_DRAWS = 99
    seeds = range(FIRST_SEED, FIRST_SEED + seasons)
    worlds = {
        name: summed_up(worked(folder / f"failures {name}.jsonl", seeds,
                               lambda seed, world=world: held_in_season(make_season(world, seed), seed)))
        for name, world in WORLDS.items()
    }  # fmt: skip
    said = {"date": datetime.now(UTC).date().isoformat(), "version": __version__, "seasons": seasons,
            "first_seed": FIRST_SEED, "worlds": worlds}  # fmt: skip
    RESULT.write_text(json.dumps(said, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else SEASONS)
