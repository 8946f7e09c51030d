"""The price per foot."""

from __future__ import annotations

from decimal import Decimal
from math import exp, log, pi, sqrt, tan

import numpy as np
import polars as pl
import pytest
from support.season_frames import SEASON, job_cost, season_cost, settings, shuffled

from pipeline.decisions.price import CARD, TABLE, price_of, price_table, rate_card, round_up
from pipeline.decisions.price_ahead import Ahead
from pipeline.decisions.price_seasons import season_spread, with_foreseen

ONE = season_cost({SEASON: 5.0})


def table(jobs: pl.DataFrame, seasons: pl.DataFrame = ONE, **given: str) -> tuple[pl.DataFrame, list[str]]:
    return price_table(jobs, seasons, settings(**given), season=SEASON, seed=1)


def varied(count: int = 40) -> pl.DataFrame:
    rng = np.random.default_rng(2)
    totals = [Decimal(str(round(500 * float(f), 2))) for f in rng.lognormal(0, 0.3, count)]
    return job_cost([{"labor_usd": t - 200, "total_usd": t, "work": ("new", "repeat")[n % 2]}
                     for n, t in enumerate(totals)])  # fmt: skip


def test_price_leaves_the_margin_of_the_price_and_not_of_the_cost() -> None:
    """Cost 65 at a margin of .35 is a price of 100; 65 x 1.35 = 87.75 would leave 25.9 %."""
    assert price_of(65, 0.35) == pytest.approx(100)


def test_margin_and_markup_are_two_views_of_one_price() -> None:
    """margin = markup / (1 + markup): cost 100 with a markup of 50 % is the price of a margin of one third."""
    assert price_of(100, 0.5 / 1.5) == pytest.approx(150)


@pytest.mark.parametrize(
    ("price", "step", "rounded"),
    [(7.6923, "0.05", 7.70), (7.70, "0.05", 7.70), (7.7000001, "0.05", 7.75), (7.6923, "0", 7.6923), (7.1, "1", 8)],
)
def test_prices_are_rounded_up_to_the_step(price: float, step: str, rounded: float) -> None:
    assert round_up(price, Decimal(step)) == pytest.approx(rounded)


def test_jobs_that_all_cost_five_a_foot_are_priced_at_7_70() -> None:
    """5 / (1 - .35) = 7.6923, up to 7.70; the margin at that cost is 1 - 5 / 7.70 = .35065. No job differs, so every
    chance has that price, and limits of 7.6923."""
    frame, _ = table(job_cost([{}] * 10))
    for row in frame.filter(pl.col("segment") == "all").to_dicts():
        assert (row["season"], row["price_usd_per_ft"]) == (SEASON + 1, pytest.approx(7.70))
        assert row["margin"] == pytest.approx(0.35065, abs=5e-6)
        assert (row["low"], row["high"]) == pytest.approx((7.6923, 7.6923), abs=5e-5)
    assert frame.schema == pl.Schema(TABLE)


def test_rises_act_on_their_own_part() -> None:
    """Labor 300 x 1.10 + materials 200 x 1.05 = 540: 5.40 a foot, 8.3077 at the margin, up to 8.35."""
    row = table(job_cost([{}] * 10), rise_labor="0.10", rise_goods="0.05")[0].row(0, named=True)
    assert row["cost_usd_per_ft"] == pytest.approx(5.40)
    assert row["price_usd_per_ft"] == pytest.approx(8.35)


def test_a_higher_chance_never_has_a_lower_price() -> None:
    frame, _ = table(varied())
    for _, rows in frame.group_by("segment"):
        prices = rows.sort("chance")["price_usd_per_ft"].to_list()
        assert prices == sorted(prices)


def test_seasons_that_differed_raise_the_price_of_a_chance() -> None:
    """Costs of 4 and 5: one change of ln(1.25), times t with 1 degree of freedom, whose .8 quantile is tan(.3 pi):
    exp(.22314 x 1.37638) = 1.3596."""
    two = season_cost({SEASON - 1: 4.0, SEASON: 5.0})
    seasons = season_spread(two, settings())
    assert float(np.quantile(seasons.factors(200_000, 3), 0.8)) == pytest.approx(
        exp(log(1.25) * tan(0.3 * pi)), rel=0.01
    )
    assert "2 seasons" in seasons.note
    row = table(job_cost([{}] * 10), two)[0].filter(pl.col("chance") == 0.8)
    assert row["price_usd_per_ft"][0] == pytest.approx(5 / 0.65 * 1.3596, rel=0.05)


def seen_seasons(later: int = SEASON, feet: float = 1_200) -> pl.DataFrame:
    """A season of 1,000 ft at labor 3, materials 1 and overhead 2, and a later one of 6.50 a foot."""
    nothing = dict.fromkeys(("travel_usd", "equipment_usd", "service_usd"), 0.0)
    before = {"season": SEASON - 1, "feet": 1_000.0, "labor_usd": 3_000.0, "materials_usd": 1_000.0,
              "overhead_usd": 2_000.0, "cost_usd_per_ft": 6.0, **nothing}  # fmt: skip
    return pl.DataFrame([before, before | {"season": later, "feet": feet, "cost_usd_per_ft": 6.5}])


def foreseen(seasons: pl.DataFrame) -> float | None:
    """With wages rising by 10 %, goods by 20 %, half of them standing already, and half of the overhead fixed."""
    given, known = settings(rise_labor="0.1", rise_goods="0.2"), Ahead(settled_usd=500, fixed_share=0.5, growth=9.0)
    frame = with_foreseen(seasons, lambda _: given, lambda _: known)
    assert frame["foreseen_usd_per_ft"][0] is None
    value: float | None = frame["foreseen_usd_per_ft"][1]
    return value


def test_what_was_foreseen_of_a_season_has_the_rises_and_its_own_feet() -> None:
    """3 x 1.1 + .5 + .5 x 1.2 + 1 + 1 / 1.2 = 6.2333; two seasons later 3 x 1.21 + .5 + .5 x 1.44 + 1 + 1 / 1.2."""
    assert foreseen(seen_seasons()) == pytest.approx(3.3 + 1.1 + 1 + 1 / 1.2)
    assert foreseen(seen_seasons(SEASON + 1)) == pytest.approx(3.63 + 1.22 + 1 + 1 / 1.2)
    assert foreseen(seen_seasons(feet=0.0)) is None


def test_seasons_differ_by_what_they_were_off_and_not_by_what_was_foreseen() -> None:
    """6.50 where 6.2333 was foreseen: the .8 quantile is exp(ln(6.5 / 6.2333) x tan(.3 pi))."""
    given = with_foreseen(seen_seasons(), lambda _: settings(rise_labor="0.1", rise_goods="0.2"),
                          lambda _: Ahead(settled_usd=500, fixed_share=0.5))  # fmt: skip
    seasons = season_spread(given, settings())
    expected = exp(log(6.5 / (3.3 + 1.1 + 1 + 1 / 1.2)) * tan(0.3 * pi))
    assert float(np.quantile(seasons.factors(200_000, 3), 0.8)) == pytest.approx(expected, rel=0.01)


def test_a_spread_of_one_change_counts_with_more_freedom_where_it_is_the_smaller_part() -> None:
    """A change of .1 beside a variance of .03: 1 x sqrt(1 + .03 / .01) = 2 degrees of freedom, whose .8 quantile is
    (2 x .8 - 1) / sqrt(2 x .8 x .2) = 1.0607; alone it is tan(.3 pi) = 1.3764."""
    seasons = season_spread(season_cost({SEASON - 1: 5.0, SEASON: 5.0 * exp(0.1)}), settings())
    assert float(np.quantile(seasons.factors(200_000, 3, 0.03), 0.8)) == pytest.approx(exp(0.10607), rel=0.002)
    assert float(np.quantile(seasons.factors(200_000, 3), 0.8)) == pytest.approx(exp(0.13764), rel=0.002)


def test_a_missing_season_makes_a_change_count_as_two_steps() -> None:
    """4 and then 5 two seasons later: the change of one season is ln(1.25) / sqrt 2."""
    seasons = season_spread(season_cost({SEASON - 2: 4.0, SEASON: 5.0}), settings())
    expected = exp(log(1.25) / sqrt(2) * tan(0.3 * pi))
    assert float(np.quantile(seasons.factors(200_000, 3), 0.8)) == pytest.approx(expected, rel=0.01)


def test_a_given_spread_counts_where_one_season_is_known() -> None:
    """A deviation of .1 of the log: the .8 quantile is exp(.1 x .84162) = 1.0878."""
    seasons = season_spread(ONE, settings(season_spread="0.1"))
    assert float(np.quantile(seasons.factors(200_000, 3), 0.8)) == pytest.approx(1.0878, rel=0.002)


def test_one_season_alone_is_said_to_show_no_spread() -> None:
    _, notes = table(job_cost([{}] * 10))
    assert any("if next season is like this one" in note for note in notes)


def test_a_later_season_in_the_store_does_not_change_this_one_s_price() -> None:
    assert table(varied())[0].equals(table(varied(), season_cost({SEASON: 5.0, SEASON + 1: 9.0}))[0])


def test_the_order_of_the_rows_does_not_matter() -> None:
    jobs, seasons = varied(), season_cost({SEASON - 2: 4.8, SEASON - 1: 5.3, SEASON: 5.0})
    assert table(jobs, seasons)[0].equals(table(shuffled(jobs), shuffled(seasons))[0])


@pytest.mark.parametrize(("count", "rows"), [(9, 0), (10, 12)])
def test_ten_jobs_make_a_price_and_nine_do_not(count: int, rows: int) -> None:
    """With ten, of one work and terms: all, new and sold at four chances."""
    frame, notes = table(job_cost([{}] * count))
    assert frame.height == rows
    assert notes


def test_jobs_still_up_are_not_priced() -> None:
    """Ten final jobs at 5.00 and two open ones, which have not borne their takedown, at 3.00."""
    still_up = {"labor_usd": Decimal(100), "total_usd": Decimal(300), "is_final": False}
    frame, notes = table(job_cost([{}] * 10 + [still_up] * 2))
    assert frame["cost_usd_per_ft"][0] == pytest.approx(5.0)
    assert any("2 jobs still to be taken down" in note for note in notes)


def test_a_season_of_open_jobs_is_priced_with_a_warning() -> None:
    frame, notes = table(job_cost([{"is_final": False}] * 12))
    assert frame.height
    assert any("will rise" in note for note in notes)


def test_hours_spread_by_feet_price_no_kind_of_work_apart() -> None:
    frame, notes = table(job_cost([{"has_own_hours": False}] * 30))
    assert frame["segment"].unique().to_list() == ["all"]
    assert any("spread over jobs by feet" in note for note in notes)


def test_understated_costs_are_said() -> None:
    _, notes = table(job_cost([{"is_understated": True}] + [{}] * 11))
    assert any("1 jobs is understated" in note for note in notes)


def test_a_margin_of_the_whole_price_is_refused_with_a_reason() -> None:
    frame, notes = table(job_cost([{}] * 10), target_margin="1")
    assert frame.is_empty()
    assert "cannot be reached" in notes[0]


def test_the_rate_card_has_the_firm_s_base_and_each_kind_with_jobs_enough() -> None:
    """Ten new sold jobs at 5.00 and ten repeat leased ones at 4.00 a foot: 7.70, 6.1538 -> 6.20, nine are too few."""
    cheap = {"work": "repeat", "terms": "leased", "labor_usd": Decimal(200), "total_usd": Decimal(400)}
    few = [{"work": "repeat", "terms": "sold"}] * 9
    card, _ = rate_card(job_cost([{}] * 10 + [cheap] * 10 + few), ONE, settings(), season=SEASON, seed=1)
    assert dict(card.select("what", "amount_usd").iter_rows()) == {
        "any roofline work": pytest.approx(card["amount_usd"][0]),
        "new work, goods sold": pytest.approx(7.70),
        "repeat work, goods leased": pytest.approx(6.20),
    }
    assert card["line"].to_list() == [1, 2, 3]
    assert card.schema == pl.Schema(CARD)


def test_no_jobs_are_no_price_and_no_error() -> None:
    empty = job_cost([{}]).clear()
    assert table(empty, season_cost({}))[0].is_empty()
    assert rate_card(empty, season_cost({}), settings(), season=SEASON, seed=1)[0].is_empty()
