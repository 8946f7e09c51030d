"""The decisions on the demo against the truth that it was made from, and against what the next season really used."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from shutil import copy
from tempfile import TemporaryDirectory

import numpy as np
import polars as pl
import pytest
from support.demo import SEASONS, checked, closed, truth

from pipeline.decisions.demand import Records, next_season
from pipeline.decisions.policy import LINE_ERROR, SEGMENT_ERROR
from pipeline.decisions.price_again import this_season_again
from pipeline.decisions.price_card import fitted_card
from pipeline.warehouse import build_models, open_store, transaction


@cache
def read(name: str) -> pl.DataFrame:
    with open_store(closed() / "perfoot.duckdb", read_only=True) as store:
        return store.read(name)


@cache
def job_items() -> pl.DataFrame:
    """facts.job_items, which is built for the run alone, built again in a copy of the store."""
    with TemporaryDirectory() as folder:
        copied = copy(closed() / "perfoot.duckdb", Path(folder) / "perfoot.duckdb")
        with open_store(copied) as store, transaction(store):
            build_models(store, ["facts.job_items"])
            return store.read("facts.job_items")


def of(name: str, season: int) -> pl.DataFrame:
    return read(name).filter(pl.col("season") == season)


def test_what_the_next_season_used_was_foreseen() -> None:
    """19 items a season, two seasons. Items share the number of jobs and so miss together: of 38, at most 4 may lie
    beyond the 1st and the 99th percentile, and half at least between the 10th and the 90th."""
    inside = {0.01: 0, 0.1: 0}
    for season in SEASONS[:2]:
        records = Records(
            job_items(), read("facts.property_seasons"), read("measures.item_use"),
            of("records.items", season),
        )  # fmt: skip
        need = next_season(records, checked(season).settings, season=season, seed=1)
        used = of("measures.item_use", season + 1).group_by("item_no").agg(pl.col("net_used").cast(pl.Float64).sum())
        took = dict(used.iter_rows())
        seen = np.array([took[item] for item in need.items])
        for tail in inside:
            low, high = np.quantile(need.taken, [tail, 1 - tail], axis=0)
            inside[tail] += int(((low <= seen) & (seen <= high)).sum())
    assert inside[0.01] >= 34
    assert inside[0.1] >= 19


def test_an_order_is_of_the_size_of_what_the_firm_bought() -> None:
    """Between half and twice the money paid for goods in the season just closed."""
    paid = float(of("records.purchases", 2025)["paid"].sum())
    ordered = float(of("decisions.order_lines", 2026)["amount_usd"].sum())
    assert 0.5 * paid < ordered < 2 * paid


def test_every_line_of_the_order_keeps_the_floor() -> None:
    floor = float(checked(2025).settings.number("service_floor") or 0)
    for line in of("decisions.order_lines", 2026).to_dicts():
        assert line["chance_short"] <= 1 - floor + 1e-9, line["item_no"]


@pytest.mark.parametrize("season", SEASONS[:2])
def test_the_next_season_cost_no_more_than_a_price_for_95_percent_allows(season: int) -> None:
    margin = float(checked(season).settings.number("target_margin") or 0)
    prices = of("decisions.price_table", season + 1).filter((pl.col("segment") == "all") & (pl.col("chance") == 0.95))
    cost = of("measures.season_cost", season + 1).filter(pl.col("branch") == "all")["cost_usd_per_ft"][0]
    assert cost <= prices["price_usd_per_ft"][0] * (1 - margin)


def test_the_advised_price_lies_where_firms_charge() -> None:
    """$4 to $10 a foot: common practice, no source."""
    prices = of("decisions.price_table", 2026).filter((pl.col("segment") == "all") & (pl.col("chance") <= 0.9))
    assert prices["price_usd_per_ft"].is_between(4, 10).all()


def test_a_card_fits_its_season_and_the_next_within_three_percent_or_what_luck_explains() -> None:
    """Of 18 kinds of work or so no one is off by more than 3 % and two standard errors in the season that made the
    card; in the next, where luck is that of both seasons, by more than 3 % and three of them beside what leaving out
    lines may put it off; none is under water in either."""
    for season in SEASONS[:2]:
        known = [of("measures.job_cost", year) for year in SEASONS if year <= season]
        runs = {year: of("records.runs", year) for year in (*SEASONS[:2], season + 1)}
        own, given = of("measures.season_cost", season).filter(pl.col("branch") == "all"), checked(season).settings
        store = (pl.concat(known), pl.concat([runs[year] for year in SEASONS if year <= season]))
        card = fitted_card(
            known[-1], own, runs[season], given,
            price=1.5 * float(own["cost_usd_per_ft"][0]), minimum=None, season=season, seed=1, store=store,
        )  # fmt: skip
        for year, errors, beside in ((season, 2, 0.0), (season + 1, 3, LINE_ERROR)):
            _, rows = this_season_again(of("measures.job_cost", year), runs[year], card, given, season=year)
            assert rows.height > 16
            for row in rows.filter(pl.col("view") != "all").to_dicts():
                bound = max(SEGMENT_ERROR, beside + errors * row["error_se"])
                assert abs(row["error_share"]) <= bound, (year, row["segment"])
                assert row["card_usd"] > row["cost_usd"], (year, row["segment"])


def test_new_work_is_priced_above_repeat_work() -> None:
    """In the truth repeat work takes .74 of the hanging and a third of the prep."""
    prices = of("decisions.price_table", 2026).filter(pl.col("chance") == 0.8)
    by_segment = dict(prices.select("segment", "price_usd_per_ft").iter_rows())
    assert by_segment["new"] > by_segment["all"] > by_segment["repeat"]


def test_limits_of_crews_faults_hold_their_true_workmanship() -> None:
    """Against the average crew of the connections. Of 18 intervals at 95 %, 3 misses have a chance of 6 %."""
    true = {crew["name"]: crew["workmanship"] for crew in truth()["crews"]}
    missed = 0
    for season in SEASONS:
        rows = of("decisions.crew_comparison", season).filter(pl.col("crew").is_in(list(true)))
        due = dict(rows.select("crew", "expected_faults").iter_rows())
        average = sum(true[crew] * count for crew, count in due.items()) / sum(due.values())
        for row in rows.to_dicts():
            missed += not row["fault_low"] <= true[row["crew"]] / average <= row["fault_high"]
    assert missed <= 2


def test_the_dear_kinds_of_connection_are_those_that_fail_most() -> None:
    """By the truth splices and inline taps fail most a night, taped and capped sockets least."""
    order = of("decisions.connection_price", 2025).sort("place_in_order")["kind"].to_list()
    assert set(order[:2]) == {"splice", "inline_tap"}
    assert set(order[-2:]) == {"taped_socket", "capped_socket"}


def test_goods_age_as_the_truth_has_it() -> None:
    """By the truth failures grow by .16 of a new installation's each season: a factor of 1.16 in the first season and
    of 1.11 in the fourth. Each season's limits reach into that, but for one in twenty; of three, one may miss."""
    ageing = truth()["faults"]["ageing"]
    ends = ((1 + 4 * ageing) / (1 + 3 * ageing), 1 + ageing)
    ages = read("decisions.failure_terms").filter(pl.col("term") == "age").to_dicts()
    assert len(ages) == len(SEASONS)
    assert sum(not (row["low"] <= ends[1] and row["high"] >= ends[0]) for row in ages) <= 1


def test_kinds_that_are_told_apart_differ_in_the_truth_that_way_round() -> None:
    """Over all pairs of a season the chance of a wrong claim is 1 in 20 at most; of three seasons none may have one."""
    true = truth()["faults"]["per_1000"]
    pairs = read("decisions.connection_ratios").filter(pl.col("told_apart")).to_dicts()
    assert pairs
    assert all(true[row["kind"]] > true[row["other"]] for row in pairs)


def test_nothing_decided_is_negative_or_endless() -> None:
    # A rate card's line that takes off what a kind of work does not cost is below nothing; no surface's price is.
    card = read("decisions.rate_card")
    assert card["amount_usd"].cast(pl.Float64).is_finite().all()
    assert (card.filter(pl.col("term").is_in(["surface", "visit"]))["amount_usd"] > 0).all()
    for name in ("crew_comparison", "connection_price", "order_lines", "spool_plan", "price_table"):
        frame = read(f"decisions.{name}")
        assert frame.height
        for column, kind in frame.schema.items():
            if kind.is_numeric() and column != "margin":
                values = frame[column].drop_nulls().cast(pl.Float64)
                assert (values.is_finite() & (values >= 0)).all(), f"{name}.{column}"


def test_no_spool_plan_costs_less_than_its_bound() -> None:
    for row in read("decisions.spool_plan").to_dicts():
        assert row["plan_usd"] >= row["bound_usd"]
