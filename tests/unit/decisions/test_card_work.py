"""What jobs are expected to cost, for a rate card: seasons taken together, and what the luck of a job moves."""

from __future__ import annotations

from typing import Any

import numpy as np
import polars as pl
import pytest
from support.card_worlds import FIRST, made_seasons, runs_of
from support.season_frames import SEASON, season_cost, settings

from pipeline.decisions.card_fit import as_seen, fit_card, houses_of, segment_weights, solved
from pipeline.decisions.card_work import WORK, Evidence, earlier_evidence, expected_of, pulls
from pipeline.decisions.policy import KEPT_A_SEASON, MIN_JOBS_A_KIND, MIN_JOBS_FOR_COST_FUNCTION
from pipeline.decisions.price_again import Luck
from pipeline.decisions.price_card import CARD_VIEWS, fitted_card
from pipeline.statistics.least_squares import bootstrap_moments

AS_NOW = dict.fromkeys((*WORK, "materials_usd", "overhead_usd"), 1.0)


def evidence(jobs: pl.DataFrame) -> Evidence:
    return Evidence.of(jobs, houses_of(jobs, runs_of(jobs)), AS_NOW)


def earlier_of(every: pl.DataFrame, now: Evidence) -> list[Evidence]:
    season = int(every["season"].max())  # type: ignore[arg-type]
    return earlier_evidence(every, runs_of(every), now.houses, AS_NOW, settings(), season)


def without_luck(jobs: pl.DataFrame, level: float) -> pl.DataFrame:
    """Work at 80 a visit and 2 a foot, 1 more with new work, all times a level; goods and overhead as they are."""
    more = pl.when(pl.col("work") == "new").then(1.0).otherwise(0.0)
    labor = (80 + (2 + more) * pl.col("feet")) * level
    return jobs.with_columns(labor_usd=labor, service_usd=0.0).with_columns(
        total_usd=pl.col("labor_usd") + pl.col("materials_usd") + pl.col("overhead_usd")
    )


def test_an_earlier_season_tells_of_work_at_its_own_level() -> None:
    """Dearer by a quarter all over, it changes nothing where neither season has luck."""
    seasons = [without_luck(jobs, level) for (jobs, _), level in zip(made_seasons(1, 80, 2), (1.25, 1.0), strict=True)]
    now = evidence(seasons[1])
    earlier = earlier_of(pl.concat(seasons), now)
    assert [len(one.keys) for one in earlier] == [80]
    alone = expected_of([now.sums], now.houses)
    both = expected_of([now.sums, earlier[0].sums], now.houses)
    assert now.houses.columns @ both.rates == pytest.approx(now.work, rel=1e-6)
    assert both.sums.cross == pytest.approx(alone.sums.cross, rel=1e-6)


def test_seasons_together_are_fitted_by_weights_of_their_age_and_their_feet() -> None:
    """Against another library's least squares, each season's work brought to the level that the rates give it."""
    seasons = [jobs for jobs, _ in made_seasons(2, 90, 3)]
    now = evidence(seasons[2])
    parts = [now, *earlier_of(pl.concat(seasons), now)]
    found = expected_of([one.sums for one in parts], now.houses).rates
    rows, brought = [], []
    for age, one in enumerate(parts):
        root = np.sqrt(KEPT_A_SEASON**age / one.houses.feet)
        level = one.work.sum() / (one.houses.columns @ found).sum()
        rows.append(one.houses.columns * root[:, None])
        brought.append(one.work / level * root)
    best, *_ = np.linalg.lstsq(np.concatenate(rows), np.concatenate(brought), rcond=None)
    assert now.houses.columns @ best == pytest.approx(now.houses.columns @ found, rel=1e-4)
    # The season's own work comes to what it came to.
    assert (now.houses.columns @ found).sum() == pytest.approx(now.work.sum())


@pytest.mark.parametrize(("count", "told"), [(MIN_JOBS_FOR_COST_FUNCTION - 1, 0), (MIN_JOBS_FOR_COST_FUNCTION, 1)])
def test_an_earlier_season_counts_from_thirty_jobs(count: int, told: int) -> None:
    (before, _), (jobs, _) = made_seasons(3, 60, 2)
    now = evidence(jobs)
    assert len(earlier_of(pl.concat([before.head(count), jobs]), now)) == told


def test_an_earlier_season_that_cannot_be_read_in_the_same_way_is_left_out() -> None:
    """Without hours by job, and, for a card by surface, without runs."""
    (before, _), (jobs, _) = made_seasons(4, 60, 2)
    now = evidence(jobs)
    spread = pl.concat([before.with_columns(has_own_hours=pl.lit(False)), jobs])
    assert earlier_of(spread, now) == []
    bare = earlier_evidence(pl.concat([before, jobs]), runs_of(jobs), now.houses, AS_NOW, settings(), FIRST + 1)
    assert bare == []


@pytest.mark.parametrize(("earlier", "apart"), [(MIN_JOBS_A_KIND - 4, True), (MIN_JOBS_A_KIND - 5, False)])
def test_sold_new_work_has_a_line_of_its_own_from_eight_jobs_of_all_seasons_and_else_stands_with_leased(
    earlier: int, apart: bool
) -> None:
    """Four jobs in the season and four before make a line; a job fewer, and leased and sold new work share one: left
    out altogether they would be charged as if their goods were nothing."""
    seasons = []
    for (jobs, _), count in zip(made_seasons(5, 120, 2), (earlier, 4), strict=True):
        sold = pl.Series(np.arange(jobs.height) < count)
        new = pl.Series(np.arange(jobs.height) < 40)
        work, terms = pl.when(new).then(pl.lit("new")), pl.when(sold).then(pl.lit("sold"))
        made = jobs.with_columns(
            work=work.otherwise(pl.lit("repeat")), terms=terms.otherwise(pl.lit("leased")),
            materials_usd=pl.col("feet") * pl.when(sold).then(8.0).when(new).then(1.5).otherwise(0.3),
        )  # fmt: skip
        seasons.append(made)
    every = pl.concat(seasons)
    card = fitted_card(
        seasons[1], season_cost({FIRST + 1: 5.0}), runs_of(seasons[1]), settings(), price=8.0, minimum=None,
        season=FIRST + 1, seed=1, store=(every, runs_of(every)),
    )  # fmt: skip
    lines = card.rows.filter(pl.col("term") == "work")["what"].to_list()
    together = "new work, goods leased or new work, goods sold, on each foot"
    alone = ["new work, goods leased, on each foot", "new work, goods sold, on each foot"]
    assert sorted(lines) == (alone if apart else [together])
    assert any("this season and the season before it" in note for note in card.notes)


def test_without_its_luck_a_job_leaves_the_rates_that_its_pull_says() -> None:
    """With one season rates are linear in what jobs cost: without one job's luck they are less by its pull, exactly."""
    jobs, _ = made_seasons(6, 70, 1)[0]
    now = evidence(jobs)
    expected = expected_of([now.sums], now.houses)
    segments = np.zeros((0, jobs.height))
    seen = (now.houses.adder_feet > 0).sum(axis=0).tolist()
    fit = fit_card(now.houses, now.need, now.need - now.work + now.houses.columns @ expected.rates, segments, seen)
    to = fit.lines.summed(now.houses)
    keys, moved = pulls(now, [], fit, expected)
    at = 11
    luck = np.zeros(jobs.height)
    luck[at] = now.need[at] - now.houses.columns[at] @ (to @ fit.rates)
    other = Evidence(now.keys, now.houses, now.need - luck, now.work)
    again = solved(now.houses, fit.lines, expected_of([other.sums], now.houses).sums)[0]
    # The sums of all work stay, so that the luck may be put down to work or to the rest alike.
    assert to @ (fit.rates - again) == pytest.approx(moved[at], abs=1e-6)
    assert keys[at] == now.keys[at]


def test_limits_of_the_lines_are_as_wide_as_those_of_samples_of_the_jobs() -> None:
    """Efron's bootstrap of the same lines, 2,000 samples: its limits are 95 % ones too, to some percent of their width
    by draw and by first order. The other season's jobs narrow them."""
    (before, _), (jobs, _) = made_seasons(8, 400, 2)
    runs, season = runs_of(jobs), FIRST + 1
    given: dict[str, Any] = {"price": 8.0, "minimum": None, "season": season, "seed": 1}
    alone = fitted_card(jobs, season_cost({season: 5.0}), runs, settings(), **given)
    houses, need = houses_of(jobs, runs), jobs["total_usd"].to_numpy()
    expected = expected_of([evidence(jobs).sums], houses)
    segments = segment_weights(jobs, houses, CARD_VIEWS)[1]
    seen = (houses.adder_feet > 0).sum(axis=0).tolist()
    work = evidence(jobs).work
    fit = fit_card(houses, need, need - work + houses.columns @ expected.rates, segments, seen)
    sums = bootstrap_moments(houses.columns, need[:, None], 1 / houses.feet, 2_000, 3)
    drawn = solved(houses, fit.lines, sums) * 8.0 * houses.feet.sum() / need.sum()
    low, high = np.quantile(drawn, [0.025, 0.975], axis=0)
    wide = (alone.rows["high"] - alone.rows["low"]).to_numpy()
    assert wide == pytest.approx(high - low, rel=0.15)
    assert alone.rows["low"].to_numpy() == pytest.approx(low, abs=0.15 * (high - low).max())
    every = pl.concat([before, jobs])
    both = fitted_card(jobs, season_cost({season: 5.0}), runs, settings(), store=(every, runs_of(every)), **given)
    ridge = [card.rows.filter(pl.col("what").str.contains("ridge")).row(0, named=True) for card in (alone, both)]
    assert ridge[1]["high"] - ridge[1]["low"] < 0.9 * (ridge[0]["high"] - ridge[0]["low"])


def test_errors_by_luck_are_those_of_what_is_needed_less_what_it_moved_the_card_by() -> None:
    """Two kinds of two jobs of 100 ft at 1 a foot each; the first two needed 120 and 80, the others 100.

    Of the first kind luck of 20 is 20 x sqrt(2 / 1) / 200 of what it needs, less 20 / 400 of what all do: .0914, up and
    down. It moved that kind's rate by .1, which is half of that beside all: .05. This season the two are set against
    each other, .0414 and -.0414: sqrt(2) x .0414 = .0586; in another sqrt(2 x (.05^2 + .0914^2)) = .1474.
    """
    columns = np.array([[100.0, 0], [100, 0], [0, 100], [0, 100]])
    own = np.array([[0.1, 0], [-0.1, 0], [0, 0], [0, 0]])
    luck = Luck(columns, np.full(4, 100.0), np.array([120.0, 80, 100, 100]), own, np.zeros((0, 2)))
    this, later = luck.standard_errors(np.array([1.0, 1, 0, 0]))
    assert this == pytest.approx(0.0586, abs=5e-5)
    assert later == pytest.approx(0.1474, abs=5e-5)
    # A job of another season that moved the same rate by .1 adds .05 to both.
    told = Luck(luck.columns, luck.asked, luck.need, own, np.array([[0.1, 0.0]])).standard_errors(
        np.array([1.0, 1, 0, 0])
    )
    assert told == pytest.approx((np.hypot(0.0586, 0.05), np.hypot(0.1474, 0.05)), abs=1e-4)
    assert luck.standard_errors(np.array([1.0, 0, 0, 0])) == (None, None)
    assert luck.standard_errors(np.ones(4)) == (None, None)


def test_a_card_knows_its_own_jobs_by_season_branch_and_number() -> None:
    jobs, _ = made_seasons(7, 60, 1)[0]
    card = fitted_card(
        jobs, season_cost({SEASON: 5.0}), runs_of(jobs), settings(), price=8.0, minimum=None, season=FIRST, seed=1
    )
    assert card.houses is not None
    assert card.pulled is not None
    houses = as_seen(jobs, runs_of(jobs), card.houses)
    asked = card.quote(houses)
    mixed = Luck.of(card, jobs.reverse(), houses.columns[::-1], asked[::-1], asked[::-1])
    assert np.array_equal(mixed.own, card.pulled[::-1])
    assert len(mixed.others) == 0
    later = Luck.of(card, jobs.with_columns(season=pl.lit(FIRST + 1)), houses.columns, asked, asked)
    assert (later.own == 0).all()
    assert np.array_equal(later.others, card.pulled)
