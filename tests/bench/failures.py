"""Do the limits of failures hold the truth of made seasons as often as they say?

    python -m tests.bench.failures [seasons]        writes failures.json beside this file

1,000 seasons with clusters by default, a third of them at 3, 5 and 12 crews each; beside them as many as in a third
with Poisson counts, and with kinds that do not differ. Each share is over seasons, with its Monte Carlo error, since
the groups of a season miss together.
"""

from __future__ import annotations

import json
import sys
from collections import defaultdict
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

SEASONS = 334
"""Seasons of each world: three of them make the 1,000 with clusters."""
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


def held_in_season(made: Made, seed: int) -> dict[str, float]:
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


def run(world: World, seasons: int) -> dict[str, dict[str, float]]:
    """Each share over so many seasons, with its Monte Carlo error."""
    values: dict[str, list[float]] = defaultdict(list)
    for seed in range(seasons):
        for name, value in held_in_season(make_season(world, seed), seed).items():
            values[name].append(value)
    return {
        name: {
            "share": round(float(np.mean(column)), 4),
            "error": round(float(np.std(column) / np.sqrt(len(column))), 4),
            "seasons": len(column),
        }
        for name, column in values.items()
    }


def main(seasons: int) -> None:
    """Run every world and write the result."""
    # The chance of clustering needs no more to be told from .05, and nothing else uses these draws.
    dispersion.MOST_DRAWS = 99
    worlds = {}
    for name, world in WORLDS.items():
        worlds[name] = run(world, seasons)
        print(name, json.dumps(worlds[name], indent=1), flush=True)
    said = {
        "version": __version__,
        "date": datetime.now(UTC).date().isoformat(),
        "seasons_a_world": seasons,
        "worlds": worlds,
    }
    RESULT.write_text(json.dumps(said, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else SEASONS)
