"""The rate card: which lines it has, what they come to, and the season again at it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import numpy as np
import polars as pl
import pytest
from support.season_frames import SEASON, season_cost, settings

from pipeline.decisions.card_fit import Houses, Lines, fit_card, houses_of, segment_weights
from pipeline.decisions.policy import ACCURACY_GIVEN_UP, MIN_JOBS_A_SEGMENT, MIN_JOBS_FOR_COST_FUNCTION
from pipeline.decisions.price import CARD
from pipeline.decisions.price_again import this_season_again
from pipeline.decisions.price_card import Card, fitted_card

ONE = season_cost({SEASON: 5.0})
NO_SEGMENTS = np.zeros((0, 0))


def season(count: int = 120, luck: float = 0.0, ridge: float = 6.0) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Jobs at 100 to go there, 3 a foot on gutter, `ridge` on ridge, 1 more a foot on two stories, 2 more for new
    sold work; slope costs nothing.
    """
    rng = np.random.default_rng(4)
    jobs, runs = [], []
    for n in range(count):
        gutter, on_ridge = float(rng.integers(60, 300)), float(rng.integers(0, 3) * 25)
        stories, new, steep = int(rng.integers(1, 3)), bool(rng.integers(0, 3) == 0), bool(rng.integers(0, 2))
        feet = gutter + on_ridge
        cost = 100 + 3 * gutter + ridge * on_ridge + (stories - 1) * feet + 2 * new * feet
        cost = round(cost * float(np.exp(rng.normal(0, luck))), 2)
        key = {"branch": "main", "job_no": f"{n:03d}"}
        jobs.append(
            key | {"season": SEASON, "customer_no": f"C{n}", "property_no": f"P{n}", "work": "new" if new else "repeat",
                   "terms": "sold" if new else "leased", "stories": stories, "slope": Decimal(12 if steep else 4),
                   "size_band": "under 200 ft" if feet < 200 else "200 ft and over", "feet": feet, "labor_usd": cost,
                   "total_usd": cost, "invoiced_usd": 8 * feet, "is_final": True, "is_understated": False,
                   "has_own_hours": True, **dict.fromkeys(("materials_usd", "travel_usd", "equipment_usd",
                                                           "service_usd", "overhead_usd"), 0.0)}
        )  # fmt: skip
        runs.append(key | {"surface": "gutter", "feet": gutter})
        if on_ridge:
            runs.append(key | {"surface": "ridge", "feet": on_ridge})
    return pl.DataFrame(jobs), pl.DataFrame(runs)


def card_of(jobs: pl.DataFrame, runs: pl.DataFrame, price: float = 10.0, **more: Any) -> Card:
    given = {"minimum": None, **more}
    return fitted_card(jobs, ONE, runs, settings(target_margin="0.5"), price=price, season=SEASON, seed=1, **given)


def jobs_of(houses: Houses) -> list[int]:
    """Jobs with each adder."""
    return (houses.adder_feet > 0).sum(axis=0).tolist()


def amounts(card: Card) -> dict[str, float]:
    return dict(card.rows.select("what", "amount_usd").rows())


def test_without_luck_the_card_has_the_lines_that_made_the_costs_and_no_other() -> None:
    """Twice each cost: 200 a visit, 6 and 12 a foot, 2 for a second story, 4 for new sold work; slope costs nothing."""
    jobs, runs = season()
    mean_cost = float(jobs["total_usd"].sum() / jobs["feet"].sum())
    card = card_of(jobs, runs, price=2 * mean_cost)
    assert amounts(card) == {
        "Going to a house": 200,
        "each foot on gutter": pytest.approx(6),
        "each foot on ridge": pytest.approx(12),
        "2 stories, on each foot": pytest.approx(2),
        "new work, goods sold, on each foot": pytest.approx(4),
    }
    assert card.rows.schema == pl.Schema(CARD)
    assert any("are for repeat work, goods leased" in note for note in card.notes)
    assert any("Slope has no line" in note for note in card.notes)


def test_the_card_asks_in_all_for_the_price_it_stands_for_and_at_most_five_dollars_a_job_more() -> None:
    jobs, runs = season(luck=0.3)
    card = card_of(jobs, runs)
    asked = float(card.quote(houses_of(jobs, runs)).sum())
    target = 10.0 * float(jobs["feet"].sum())
    assert target - 1e-6 <= asked < target + 5 * jobs.height
    per_foot = card.rows.filter(pl.col("basis") == "usd a foot")["amount_usd"].to_numpy()
    assert np.allclose(per_foot / 0.05, np.round(per_foot / 0.05))


def test_a_least_charge_above_the_visit_has_its_own_line_and_no_job_is_quoted_below_it() -> None:
    jobs, runs = season()
    card = card_of(jobs, runs, minimum=1_201.0)
    assert amounts(card)["No job under"] == 1_205
    assert card.quote(houses_of(jobs, runs)).min() >= 1_205


def test_surfaces_that_cost_the_same_share_a_line() -> None:
    card = card_of(*season(600, luck=0.05, ridge=3.0))
    assert "each foot, any surface" in amounts(card)


def test_a_line_goes_only_as_long_as_the_error_stays_within_one_in_a_hundred() -> None:
    jobs, runs = season(luck=0.25)
    houses, need = houses_of(jobs, runs), jobs["total_usd"].to_numpy()
    fit = fit_card(houses, need, need, np.zeros((0, jobs.height)), jobs_of(houses))
    assert fit.full_error < fit.error <= fit.full_error * (1 + ACCURACY_GIVEN_UP)
    # Weighted least squares by another library: the error of the chosen lines is that of their own best fit.
    columns = houses.columns @ fit.lines.summed(houses)
    root = 1 / np.sqrt(houses.feet)
    best, *_ = np.linalg.lstsq(columns * root[:, None], need * root, rcond=None)
    squares = ((need - columns @ best) ** 2 / houses.feet).sum()
    assert fit.error == pytest.approx(float(np.sqrt(squares / houses.feet.sum())), rel=1e-6)
    for fewer in fit.lines.fewer(houses):
        assert fewer.count == fit.lines.count - 1


def test_a_kind_of_work_keeps_its_line_where_its_loss_would_be_seen_in_its_margin() -> None:
    """Much luck hides the second story, which costs a quarter more: without segments its line goes, with them not."""
    rng = np.random.default_rng(0)
    feet = rng.uniform(100, 300, 400)
    high = np.arange(400) % 2 == 1
    need = feet * np.where(high, 5.0, 4.0) * np.exp(rng.normal(0, 1.0, 400))
    houses = Houses(
        feet, ("roofline",), feet[:, None], (("stories", "2 stories"),), np.where(high, feet, 0)[:, None], "b"
    )
    segments = np.array([high, ~high], dtype=float)
    free = fit_card(houses, need, need, np.zeros((0, 400)), jobs_of(houses))
    held = fit_card(houses, need, need, segments, jobs_of(houses))
    assert free.lines == Lines(((0,),), ())
    assert held.lines == Lines(((0,),), ((0,),))


def test_a_segment_counts_from_thirty_jobs() -> None:
    jobs, runs = season(MIN_JOBS_A_SEGMENT)
    jobs = jobs.with_columns(work=pl.lit("new"))
    houses = houses_of(jobs, runs)
    assert segment_weights(jobs, houses, ("work",))[0][0] == ("work", "new")
    fewer = jobs.head(MIN_JOBS_A_SEGMENT - 1)
    assert ("work", "new") not in segment_weights(fewer, houses_of(fewer, runs), ("work",))[0]


@pytest.mark.parametrize(
    ("count", "lines"), [(MIN_JOBS_FOR_COST_FUNCTION - 1, "foot"), (MIN_JOBS_FOR_COST_FUNCTION, "visit")]
)
def test_thirty_jobs_make_a_card_by_surface_and_fewer_plain_prices_a_foot(count: int, lines: str) -> None:
    card = card_of(*season(count))
    assert lines in card.rows["term"].to_list()
    assert (card.rates is None) == (lines == "foot")


def test_jobs_without_runs_or_without_hours_of_their_own_are_priced_as_far_as_that_goes() -> None:
    jobs, runs = season()
    bare = card_of(jobs, runs.clear())
    assert any("Surfaces have no prices of their own" in note for note in bare.notes)
    spread = card_of(jobs.with_columns(has_own_hours=pl.lit(False)), runs)
    assert spread.rows["what"].to_list() == ["any roofline work"]


@pytest.mark.parametrize(("given", "conditional"), [({}, True), ({"season_spread": "0.05"}, False)])
def test_with_one_season_and_no_spread_the_card_s_promise_is_a_condition(
    given: dict[str, str], conditional: bool
) -> None:
    jobs, runs = season()
    for own in (runs, runs.clear()):
        for count in (120, MIN_JOBS_FOR_COST_FUNCTION - 1):
            card = fitted_card(
                jobs.head(count), ONE, own, settings(target_margin="0.5", **given), price=10.0, minimum=None,
                season=SEASON, seed=1,
            )  # fmt: skip
            promise = next(note for note in card.notes if "a chance of 80 %" in note)
            assert ("80 %, if next season is like this one" in promise) == conditional


def test_a_few_houses_of_3_stories_stand_with_those_of_2_on_one_line() -> None:
    jobs, runs = season()
    high = pl.col("stories") == 2
    few = jobs.with_columns(stories=pl.when(high & (high.cum_sum() <= 5)).then(3).otherwise("stories"))
    mean_cost = float(jobs["total_usd"].sum() / jobs["feet"].sum())
    lines = amounts(card_of(few, runs, price=2 * mean_cost))
    assert lines["2 stories or more, on each foot"] == pytest.approx(2)
    assert not [name for name in lines if "3 stories" in name]


def test_the_season_again_has_each_job_s_change_and_adds_up() -> None:
    jobs, runs = season()
    mean_cost = float(jobs["total_usd"].sum() / jobs["feet"].sum())
    card = card_of(jobs, runs, price=2 * mean_cost)
    again, segments = this_season_again(jobs, runs, card, settings(), season=SEASON)
    row = again.row(0, named=True)
    job = jobs.row(0, named=True)
    # Twice its cost, as every line is twice what made it.
    assert row["card_usd"] == pytest.approx(2 * job["total_usd"])
    assert row["change_usd"] == pytest.approx(2 * job["total_usd"] - 8 * job["feet"])
    assert row["customer_no"] == "C0"
    whole = segments.row(0, named=True)
    assert (whole["jobs"], whole["card_usd"]) == (120, pytest.approx(float(again["card_usd"].sum())))
    assert whole["card_losing"] == 0
    assert whole["charged_losing"] == int((jobs["invoiced_usd"] < jobs["total_usd"]).sum())
    assert segments["error_share"].abs().max() < 1e-9
    assert {*again["season"], *segments["season"], *card.rows["season"]} == {SEASON + 1}
    assert card.rows["line"].to_list() == list(range(1, card.rows.height + 1))


def test_a_job_that_is_charged_what_it_cost_is_not_at_a_loss() -> None:
    jobs, runs = season()
    even = jobs.with_columns(invoiced_usd=pl.col("total_usd"))
    _, segments = this_season_again(even, runs, card_of(jobs, runs), settings(), season=SEASON)
    assert segments.row(0, named=True)["charged_losing"] == 0
    a_cent_less = even.with_columns(invoiced_usd=pl.col("total_usd") - 0.01)
    _, segments = this_season_again(a_cent_less, runs, card_of(jobs, runs), settings(), season=SEASON)
    assert segments.row(0, named=True)["charged_losing"] == segments.row(0, named=True)["jobs"]


def test_a_card_is_applied_to_the_jobs_of_another_season() -> None:
    """Surfaces that it does not know go by its other surface; work that was its base has no adder."""
    jobs, runs = season()
    card = card_of(jobs, runs)
    other = runs.with_columns(surface=pl.col("surface").replace("ridge", "masonry"))
    again, _ = this_season_again(jobs, other, card, settings(), season=SEASON)
    same, _ = this_season_again(jobs, runs, card, settings(), season=SEASON)
    ridge = runs.filter(pl.col("surface") == "ridge")["job_no"].unique()
    here = again["job_no"].is_in(ridge.implode())
    assert again.filter(~here).equals(same.filter(~here))
    assert (again.filter(here)["card_usd"] < same.filter(here)["card_usd"]).all()


def test_the_order_of_the_rows_does_not_matter() -> None:
    jobs, runs = season(luck=0.2)
    mixed = jobs.sample(fraction=1, shuffle=True, seed=2), runs.sample(fraction=1, shuffle=True, seed=3)
    assert card_of(*mixed).rows.equals(card_of(jobs, runs).rows)
