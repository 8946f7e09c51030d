"""What the manager's page says of the demo, sentence by sentence, against the truth that the demo was made from."""

from __future__ import annotations

import html
import re
from functools import cache
from math import exp, log
from typing import Any

import polars as pl
import pytest
from support.demo import SEASONS, checked, closed, truth

from pipeline.warehouse import open_store


@cache
def read(name: str) -> pl.DataFrame:
    with open_store(closed() / "perfoot.duckdb", read_only=True) as store:
        return store.read(name)


def rows(name: str, season: int) -> list[dict[str, Any]]:
    return read(name).filter(pl.col("season") == season).to_dicts()


@cache
def page(name: str, season: int) -> str:
    """A page's words, without its charts."""
    text = (closed() / "reports" / str(season) / f"{name}.html").read_text(encoding="utf-8")
    body = re.sub(r"<svg.*?</svg>", " ", text[text.index("<body") :], flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", "", body)))


def true_pace(crew: str) -> float:
    """A crew's skill over the geometric mean of its branch's crews: above 1 is slower on any house."""
    crews = truth()["crews"]
    own = next(c for c in crews if c["name"] == crew)
    peers = [log(c["skill"]) for c in crews if c["branch"] == own["branch"]]
    return float(own["skill"] / exp(sum(peers) / len(peers)))


@pytest.mark.parametrize("season", SEASONS)
def test_a_crew_that_is_said_to_take_more_hours_is_slower_in_truth(season: int) -> None:
    told = [r for r in rows("decisions.crew_comparison", season) if r["told_apart"]]
    assert told
    for crew in told:
        assert (crew["ratio"] > 1) == (true_pace(crew["crew"]) > 1), crew["crew"]


@pytest.mark.parametrize("season", SEASONS)
def test_kinds_that_are_told_apart_differ_that_way_in_truth(season: int) -> None:
    rates = truth()["faults"]["per_1000"]
    for pair in rows("decisions.connection_ratios", season):
        if pair["told_apart"]:
            assert rates[pair["kind"]] > rates[pair["other"]], (pair["kind"], pair["other"])


@pytest.mark.parametrize("season", SEASONS)
def test_the_sheet_tells_to_avoid_only_what_is_worse_in_truth(season: int) -> None:
    rates = {kind.replace("_", " "): rate for kind, rate in truth()["faults"]["per_1000"].items()}
    found = re.search(
        r"leave a choice: (.*?), which failed more often than an? (.*?), beyond", page("crew-sheet", season)
    )
    assert found
    worse = re.split(r", | and ", found[1])
    assert all(rates[kind] > rates[found[2]] for kind in worse)


@pytest.mark.parametrize("season", SEASONS)
def test_load_is_not_blamed_for_faults_since_in_truth_it_makes_none(season: int) -> None:
    """The demo's failures come of kind, nights, age, workmanship and luck: how much hangs on a feed plays no part."""
    assert "they cannot be told from the rest" in page("manager", season)


@pytest.mark.parametrize("season", SEASONS)
def test_the_feeds_that_pass_a_limit_are_those_of_the_records(season: int) -> None:
    """Counted from the rows as they were accepted: over 250 ft or over 200 sockets."""
    loads: dict[tuple[str, str, str], list[float]] = {}
    for run in checked(season).records["runs"].to_dicts():
        if run["feed"] is not None:
            load = loads.setdefault((run["branch"], run["job_no"], run["feed"]), [0.0, 0.0])
            load[0] += float(run["feet"])
            load[1] += run["sockets"]
    over = sum(feet > 250 or sockets > 200 for feet, sockets in loads.values())
    assert over > 0
    assert f"{over} of {len(loads)} feeds pass a limit." in page("manager", season).replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize("season", SEASONS)
def test_the_installations_over_90_days_are_those_of_the_records(season: int) -> None:
    jobs = checked(season).records["jobs"].to_dicts()
    long = [j for j in jobs if j["takedown_date"] is not None and (j["takedown_date"] - j["install_date"]).days > 90]
    words = page("manager", season)
    for job in long[:20]:
        days = (job["takedown_date"] - job["install_date"]).days
        assert f"{job['job_no']} in {job['branch']} ({days} days)" in words
    assert (f"{len(long)} installation" in words) == bool(long)


@pytest.mark.parametrize("season", SEASONS)
def test_nobody_is_named_on_the_sheet(season: int) -> None:
    words = page("crew-sheet", season)
    for crew in truth()["crews"]:
        assert crew["name"] not in words
    for worker in truth()["workers"]:
        assert worker["no"] not in words
