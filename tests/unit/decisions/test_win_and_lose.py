"""What quotes are allowed to say: renewals apart, the last season's prices, and nothing where too little is known."""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from support.made_quotes import COST_USD_PER_FT, make_quotes

from pipeline.decisions.capacity import CrewHours
from pipeline.decisions.policy import BEST_PRICE_QUOTES, MIN_QUOTES
from pipeline.decisions.win_and_lose import good_prices

COSTS = {"all": COST_USD_PER_FT}


def spoken(quotes: pl.DataFrame, costs: dict[str, float] = COSTS) -> tuple[pl.DataFrame, pl.DataFrame, list[str]]:
    return good_prices(quotes, costs, crew=CrewHours({"all": 400.0}), season=2025, seed=7)


def with_won(quotes: pl.DataFrame, won: int) -> pl.DataFrame:
    """The same quotes, the cheapest of them won."""
    return quotes.sort("price_usd_per_ft").with_columns(
        outcome=pl.when(pl.int_range(pl.len()) < won).then(pl.lit("won")).otherwise(pl.lit("lost"))
    )


def test_fifty_quotes_with_ten_of_each_outcome_are_enough_and_fewer_are_not() -> None:
    for count, won, is_enough in ((50, 10, True), (49, 20, False), (50, 9, False), (50, 40, True), (50, 41, False)):
        quotes = with_won(make_quotes(count, 3).frame, won)
        _, prices, notes = spoken(quotes)
        assert prices.height == is_enough, (count, won)
        if not is_enough:
            assert notes == [
                f"How price changes winning takes {MIN_QUOTES} quotes with 10 won and as many lost; for new work there "
                f"are {count}, {won} won. Break-even losses are all that can be said."
            ]


def test_renewals_are_fitted_apart_from_new_work_and_at_their_own_cost() -> None:
    new, repeat = make_quotes(200, 1).frame, make_quotes(150, 2).frame.with_columns(work=pl.lit("repeat"))
    both = pl.concat([new, repeat])
    costs = {"all": 4.0, "new": 4.5, "repeat": 3.5}
    _, together, _ = spoken(both, costs)
    _, alone, _ = spoken(new, costs)
    assert together["work"].to_list() == ["new", "repeat"]
    assert together["quotes"].to_list() == [200, 150]
    assert together.row(0) == alone.row(0)
    # Each dollar that a foot costs less is left on each foot that is won.
    dear, _, _ = spoken(repeat, {"repeat": 4.5})
    cheap, _, _ = spoken(repeat, {"repeat": 3.5})
    assert np.allclose(cheap["contribution_usd"] - dear["contribution_usd"], cheap["feet"])


def test_a_single_best_price_is_named_from_500_quotes() -> None:
    for count in (BEST_PRICE_QUOTES - 1, BEST_PRICE_QUOTES):
        _, prices, _ = spoken(make_quotes(count, 11).frame)
        row = prices.row(0, named=True)
        assert (row["best_usd_per_ft"] is not None) == (count == BEST_PRICE_QUOTES)
        assert row["good_low"] <= (row["best_usd_per_ft"] or row["good_low"]) <= row["good_high"]


def test_a_season_whose_quotes_all_ended_alike_says_nothing_and_is_told_so() -> None:
    earlier = make_quotes(100, 5, season=2024).frame
    won = make_quotes(60, 6).frame.with_columns(outcome=pl.lit("won"))
    _, prices, notes = spoken(pl.concat([earlier, won]))
    assert prices.is_empty()
    assert notes == [
        "This season's quotes for new work all ended alike, so what a price does to winning cannot be told."
    ]


def test_earlier_seasons_are_fitted_with_this_one_and_spoken_of_no_more() -> None:
    now = make_quotes(120, 8).frame
    _, prices, _ = spoken(pl.concat([make_quotes(100, 9, season=2024).frame, now]))
    row = prices.row(0, named=True)
    assert row["quotes"] == 220
    assert row["quoted_usd_per_ft"] == pytest.approx(now["price_usd"].sum() / now["feet"].sum())


def test_open_quotes_and_no_quotes_are_left_out_and_said() -> None:
    quotes = make_quotes(100, 4).frame
    more = quotes.head(30).with_columns(outcome=pl.lit("open"), quote_no=pl.lit("open ") + pl.col("quote_no"))
    assert spoken(pl.concat([quotes, more]))[1].equals(spoken(quotes)[1])
    assert spoken(quotes.clear())[2] == ["No quotes were handed in, so what a price does to winning cannot be told."]


def test_prices_that_follow_the_houses_alone_show_no_response() -> None:
    quotes = make_quotes(120, 4).frame
    exact = quotes.with_columns(price_usd_per_ft=5 * pl.col("feet").cast(pl.Float64) ** -0.1 * 1.2 ** pl.col("stories"))
    _, prices, notes = spoken(exact)
    assert prices.is_empty()
    assert notes == ["Prices quoted for new work hardly differ between like houses, so no response shows."]


def test_what_is_won_at_the_prices_as_they_are_takes_the_hours_that_it_took() -> None:
    responses, _, _ = spoken(make_quotes(100, 4).frame)
    now = responses.filter(pl.col("factor") == 1)["feet"][0]
    assert np.allclose(responses["hours"], responses["feet"] * 400 / now)
    assert good_prices(make_quotes(100, 4).frame, COSTS, season=2025, seed=7)[0]["hours"].is_null().all()


def test_what_is_won_beyond_the_crew_hours_leaves_nothing_and_no_good_price_lies_there() -> None:
    """At the prices as they are 400 h; 360 are left, so at those and at lower prices not all of it can be done."""
    quotes = make_quotes(600, 11).frame
    free, wide, _ = spoken(quotes)
    assert wide.row(0, named=True)["fits"] is None
    crew = CrewHours({"all": 450.0, "new": 400.0}, most=410, busiest=2024)
    bound, prices, _ = good_prices(quotes, COSTS, season=2025, seed=7, crew=crew)
    row, known = prices.row(0, named=True), bound.to_dicts()
    assert (row["fits"], row["left_hours"], row["most_hours"], row["busiest"]) == ("some", 360, 410, 2024)
    for before, after in zip(free.to_dicts(), known, strict=True):
        share = min(1.0, 360 / before["hours"])
        assert after["done_share"] == pytest.approx(share)
        assert after["contribution_usd"] == pytest.approx(share * before["contribution_usd"])
        assert (after["price_usd_per_ft"] >= row["fits_from_usd_per_ft"] - 1e-9) == (share == 1)
    assert row["good_low"] >= row["fits_from_usd_per_ft"] > wide["good_low"][0]
    assert row["best_usd_per_ft"] is None or row["best_usd_per_ft"] >= row["good_low"]


@pytest.mark.parametrize(("left", "fits"), [(1e6, "all"), (1.0, "none")])
def test_crew_hours_for_all_that_is_won_or_for_none_of_it_are_told(left: float, fits: str) -> None:
    quotes = make_quotes(300, 11).frame
    crew = CrewHours({"all": 400.0}, most=left)
    row = good_prices(quotes, COSTS, season=2025, seed=7, crew=crew)[1].row(0, named=True)
    assert (row["fits"], row["fits_from_usd_per_ft"], row["left_hours"]) == (fits, None, left)
    assert (row["good_low"] == spoken(quotes)[1]["good_low"][0]) == (fits == "all")


@pytest.mark.parametrize(("left", "fits"), [(400.0, "all"), (399.0, "none")])
def test_where_dearer_quotes_are_won_no_less_the_prices_as_they_are_decide(left: float, fits: str) -> None:
    """The dearest are won: the hours rise with the price, and no price makes them fit."""
    quotes = (
        make_quotes(300, 11)
        .frame.sort("price_usd_per_ft", descending=True)
        .with_columns(outcome=pl.when(pl.int_range(pl.len()) < 150).then(pl.lit("won")).otherwise(pl.lit("lost")))
    )
    row = good_prices(quotes, COSTS, season=2025, seed=7, crew=CrewHours({"all": 400.0}, most=left))[1]
    assert (row["fits"][0], row["fits_from_usd_per_ft"][0]) == (fits, None)
