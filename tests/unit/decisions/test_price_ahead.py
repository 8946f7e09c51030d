"""What is known of next season, what the price charged now promises, what moves it, and what a property is worth."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import numpy as np
import polars as pl
import pytest
from support.season_frames import SEASON, job_cost, property_seasons, season_cost, settings

from pipeline.decisions.policy import MIN_JOBS_A_WEEK, MIN_WEEKS
from pipeline.decisions.price_ahead import Ahead, expected_growth, factors_of, look_ahead, next_costs
from pipeline.decisions.price_moves import line_offcuts, price_moves, weighted_quantile
from pipeline.decisions.price_outlook import cost_forecast, price_outlook, unusual_prices
from pipeline.decisions.renewals import later_seasons, renewals, seasons_to_pay_back


def test_goods_that_stand_already_do_not_get_dearer_and_fixed_overhead_lies_on_more_feet() -> None:
    """Materials 200 of which 50 stand: 50 + 150 x 1.1 = 215. Overhead 100, 60 fixed, on 1.2 times the feet: 40 + 50."""
    jobs = job_cost([{"overhead_usd": Decimal(100), "total_usd": Decimal(600)}])
    ahead = Ahead(settled_usd=50, fixed_share=0.6, growth=1.2)
    factors = factors_of(jobs, settings(rise_goods="0.1"), ahead)
    assert factors["materials_usd"] * 200 == pytest.approx(215)
    assert factors["overhead_usd"] * 100 == pytest.approx(90)
    assert next_costs(jobs, factors)[0] == pytest.approx(300 + 215 + 90)
    more = factors_of(jobs, settings(rise_goods="0.1"), Ahead(settled_usd=900))
    assert more["materials_usd"] == 1.0


def test_the_forecast_says_each_part_now_and_next_season() -> None:
    jobs = job_cost([{"overhead_usd": Decimal(100), "total_usd": Decimal(600)}] * 10)
    ahead = Ahead(settled_usd=50)
    frame = cost_forecast(
        jobs, season_cost({SEASON: 6.0}), settings(rise_labor="0.05"), season=SEASON, seed=1, ahead=ahead
    )
    rows = {row["part"]: row for row in frame.filter(pl.col("segment") == "all").to_dicts()}
    assert rows["labor"]["next_usd_per_ft"] == pytest.approx(3.15)
    assert "goods worth $50 to next season stand already" in rows["materials"]["why"]
    # 3.15 + 2 + 0 + 0 + 1 of 6; travel is not known and left out; jobs that do not differ leave nothing open.
    assert [rows["all"][name] for name in ("next_usd_per_ft", "low", "high")] == pytest.approx([6.15] * 3)
    assert "travel" not in rows
    assert set(frame["segment"]) == {"all", "new", "sold"}
    assert cost_forecast(jobs.head(9), season_cost({SEASON: 6.0}), settings(), season=SEASON, seed=1).is_empty()


def test_fixed_overhead_on_feet_that_may_be_more_or_fewer_widens_what_a_foot_may_cost() -> None:
    """Overhead is 1 of 6, half of it fixed, on as many feet or 20 % fewer: 6 or 6 + .5 x .25 = 6.125 a foot."""
    jobs = job_cost([{"overhead_usd": Decimal(100), "total_usd": Decimal(600)}] * 10)
    ahead = Ahead(fixed_share=0.5, growths=np.array([1.0, 0.8]))
    frame = cost_forecast(jobs, season_cost({SEASON: 6.0}), settings(), season=SEASON, seed=1, ahead=ahead)
    whole = frame.filter((pl.col("segment") == "all") & (pl.col("part") == "all")).row(0, named=True)
    assert (whole["next_usd_per_ft"], whole["low"], whole["high"]) == pytest.approx((6.0, 6.0, 6.125))


def growing() -> tuple[pl.DataFrame, pl.DataFrame]:
    """Two seasons: 40 properties of which 30 came back; now 60 jobs, 30 new ones, of 100 ft each."""
    now = [{"work": "new" if n < 30 else "repeat", "terms": "leased"} for n in range(60)]
    before = [{"season": SEASON - 1, "work": "new", "terms": "leased"} for _ in range(40)]
    past = [{"season": SEASON - 1, "property_no": f"P{n}", "returned": n < 30} for n in range(40)]
    here = [{"property_no": f"P{n}", "returned": None} for n in range(60)]
    return job_cost(now + before), property_seasons(past + here)


def test_next_season_s_feet_are_those_that_return_and_those_that_are_new() -> None:
    """60 x 30 / 40, drawn toward a half by a flat prior to 31 / 42 at most, and 30 new ones, of 100 ft."""
    jobs, properties = growing()
    given = settings(new_jobs_low="30", new_jobs_likely="30", new_jobs_high="30")
    growth, growths, said = expected_growth(jobs, properties, given, season=SEASON, seed=1)
    assert (60 * 31 / 42 + 30) / 60 - 0.01 < growth < (60 * 30 / 40 + 30) / 60 + 0.01
    assert "this one had 6,000 ft" in said
    # 60 properties of 30 / 40: a binomial deviation of 3.4, and that of the chance itself, .07 x 60 = 4.1: 5.3 of 60.
    assert float(growths.std()) == pytest.approx(5.3 / 60, rel=0.15)
    alone = expected_growth(jobs, properties.filter(pl.col("season") == SEASON), settings(), season=SEASON, seed=1)
    assert (alone[0], len(alone[1])) == (1.0, 0)
    assert "is not known" in alone[2]


def test_what_stands_and_what_is_fixed_is_read_from_the_records() -> None:
    jobs, properties = growing()
    schedule = pl.DataFrame({"season": [SEASON, SEASON, SEASON - 1], "later_season": [SEASON + 1, SEASON + 2, SEASON],
                             "borne_usd": [Decimal("70"), Decimal("30"), Decimal("900")]})  # fmt: skip
    amounts = [(SEASON, Decimal(300), "fixed"), (SEASON, Decimal(100), "variable"), (SEASON - 1, Decimal(9), "fixed")]
    overheads = pl.DataFrame(amounts, schema=["season", "amount", "behaves"], orient="row")
    ahead = look_ahead(jobs, properties, schedule, overheads, settings(rise_goods="0.1"), season=SEASON, seed=1)
    assert (ahead.settled_usd, ahead.fixed_share) == (70, 0.75)
    assert any("$70 of next season's goods" in note for note in ahead.notes)
    nothing = look_ahead(jobs, properties, schedule.clear(), overheads.clear(), settings(), season=SEASON, seed=1)
    assert (nothing.settled_usd, nothing.fixed_share, nothing.notes) == (0, 0, ())


def test_the_price_charged_now_has_a_chance_and_the_advised_one_is_worth_its_difference() -> None:
    """Jobs of 5.00 a foot charged at 7.00, of which 4.55 may be cost: the chance is none; at 7.80 it is sure (5.07).
    The price advised is 7.70, 0.70 more on 1,000 ft."""
    ten = job_cost([{}] * 10).with_columns(invoiced_usd=pl.lit(Decimal(700)))
    row = price_outlook(ten, season_cost({SEASON: 5.0}), settings(), season=SEASON, seed=1).row(0, named=True)
    assert (row["segment"], row["chance_at_charged"], row["at_stake_usd"]) == ("all", 0.0, pytest.approx(700))
    dear = ten.with_columns(invoiced_usd=pl.lit(Decimal(780)))
    row = price_outlook(dear, season_cost({SEASON: 5.0}), settings(), season=SEASON, seed=1).row(0, named=True)
    assert (row["chance_at_charged"], row["at_stake_usd"]) == (1.0, pytest.approx(-100))
    free = ten.with_columns(invoiced_usd=pl.lit(None, dtype=pl.Decimal(18, 2)))
    assert price_outlook(free, season_cost({SEASON: 5.0}), settings(), season=SEASON, seed=1).is_empty()
    assert price_outlook(ten.head(9), season_cost({SEASON: 5.0}), settings(), season=SEASON, seed=1).is_empty()


@pytest.mark.parametrize(
    ("charged", "advised", "words"),
    [(3.0, 15.0, []), (2.99, 8.0, ["charged this season, $2.99 a foot, is under"]),
     (8.0, 15.01, ["advised for the next, $15.01 a foot, is over"])],
)  # fmt: skip
def test_a_price_beyond_what_is_usual_is_said_and_one_on_the_limit_is_not(
    charged: float, advised: float, words: list[str]
) -> None:
    rows = {"segment": ["all", "new"], "charged_usd_per_ft": [charged, 99.0], "price_usd_per_ft": [advised, 99.0]}
    said = unusual_prices(pl.DataFrame(rows))
    assert len(said) == len(words)
    for sentence, word in zip(said, words, strict=True):
        assert word in sentence
        assert "$3 to $15" in sentence
        assert "common practice, no source" in sentence
        assert "stands as the records give it" in sentence


def test_a_quantile_by_weight_is_the_least_value_that_reaches_it() -> None:
    assert weighted_quantile([3.0, 1.0, 2.0], [1, 1, 8], 0.1) == 1.0
    assert weighted_quantile([3.0, 1.0, 2.0], [1, 1, 8], 0.11) == 2.0
    assert weighted_quantile([3.0, 1.0, 2.0], [1, 1, 8], 0.9) == 2.0
    assert weighted_quantile([3.0, 1.0, 2.0], [1, 1, 8], 0.91) == 3.0


NO_LINE = pl.DataFrame(schema={"branch": pl.String, "job_no": pl.String, "line_built_usd": pl.Float64,
                               "line_offcut_usd": pl.Float64})  # fmt: skip


def test_offcut_is_what_new_work_uses_beyond_the_line_that_it_fastened() -> None:
    """110 of 100 ft and 95 of 100 ft at .20 a foot, and bulbs and repeat work, which have none: 2 and nothing of 20."""
    rows = [("1", "light_line", "new", 110, 100), ("2", "light_line", "new", 95, 100), ("2", "bulb", "new", 9, 5),
            ("3", "light_line", "repeat", 30, 100), ("4", "light_line", "new", 50, None)]  # fmt: skip
    items = pl.DataFrame(
        [{"branch": "main", "job_no": job, "item_no": kind, "kind": kind, "work": work, "net": net, "built": built}
         for job, kind, work, net, built in rows]
    )  # fmt: skip
    costs = pl.DataFrame({"item_no": ["light_line", "bulb"], "cost_usd": [1.0, 3.0], "cost_quantity": [5.0, 1.0]})
    found = line_offcuts(items, costs).sort("job_no")
    assert found["job_no"].to_list() == ["1", "2"]
    assert found["line_offcut_usd"].to_list() == pytest.approx([2.0, 0.0])
    assert found["line_built_usd"].to_list() == pytest.approx([20.0, 20.0])


def test_offcut_moves_the_price_by_its_own_dollars() -> None:
    """Line of 20 a job; in four weeks 2, 4, 6 and 8 of offcut, a quarter of it in all, .05 of a cost of 5.50 a foot: at
    a tenth, P10, .03 less and at four tenths .03 more, and twice that of the price."""
    jobs, hours = weeks()
    offcuts = jobs.select("branch", "job_no", line_built_usd=pl.lit(20.0),
                          line_offcut_usd=2.0 * (1 + pl.int_range(pl.len()) // MIN_JOBS_A_WEEK))  # fmt: skip
    row = moved((jobs, hours), offcuts=offcuts)["offcut of new line"]
    assert (row["now"], row["low"], row["high"]) == pytest.approx((0.25, 0.1, 0.4))
    assert (row["price_at_low"], row["price_at_high"]) == pytest.approx((10.94, 11.06))


def weeks(count: int = MIN_WEEKS, each: int = MIN_JOBS_A_WEEK, **parts: Any) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Jobs of 100 ft: labor 300 for 8 h at the house and 2 h of driving, goods 100 in the first week up to 400."""
    jobs, hours = [], []
    for n in range(count * each):
        week = n // each
        goods = 100 * (1 + week)
        jobs.append({"materials_usd": Decimal(goods), "total_usd": Decimal(300 + goods), **parts,
                     "job_no": f"{n:03d}"})  # fmt: skip
        hours.append({"branch": "main", "job_no": f"{n:03d}", "prep_hours": 1.0, "install_hours": 5.0,
                      "takedown_hours": 1.5, "storage_hours": 0.5, "drive_hours": 2.0})  # fmt: skip
    start = date(SEASON, 11, 3)
    dates = [start + timedelta(days=7 * (n // each)) for n in range(count * each)]
    return job_cost(jobs).with_columns(install_date=pl.Series(dates)), pl.DataFrame(hours)


def moved(frames: tuple[pl.DataFrame, pl.DataFrame], ahead: Ahead = Ahead(), **more: Any) -> dict[str, dict]:  # noqa: B008
    jobs, hours = frames
    given = {"price": 11.0, "returns": None, "offcuts": NO_LINE, **more}
    factors = factors_of(jobs, settings(), ahead)
    frame = price_moves(jobs, hours, factors=factors, ahead=ahead, season=SEASON, **given)
    return {row["cause"]: row for row in frame.to_dicts()}


def test_a_cause_moves_the_price_by_its_own_part_of_the_cost() -> None:
    """Goods of 1 to 4 usd a foot over four equal weeks, 2.50 in all, of a cost of 5.50 and a price of 11: twice 1.50
    less and twice 1.50 more; a tenth more is 0.25 of cost, 0.50 of price. Labor is the same each week."""
    rows = moved(weeks())
    goods = rows["goods"]
    assert (goods["low"], goods["high"]) == (1.0, 4.0)
    assert (goods["price_at_low"], goods["price_at_high"]) == (pytest.approx(8.0), pytest.approx(14.0))
    assert goods["price_at_tenth_more"] == pytest.approx(11.5)
    assert rows["pay of an hour"]["now"] == pytest.approx(30.0)
    assert rows["pay of an hour"]["price_at_tenth_more"] == pytest.approx(11.6)
    # Eight of ten hours are at the house: 2.40 of cost; two are driving: 0.60 and no miles.
    assert rows["hours at the house"]["price_at_tenth_more"] == pytest.approx(11.48)
    assert rows["hours of driving"]["price_at_tenth_more"] == pytest.approx(11.12)
    assert next(iter(rows)) == "goods"


@pytest.mark.parametrize(("count", "each", "ranged"), [(MIN_WEEKS, MIN_JOBS_A_WEEK, True),
                                                       (MIN_WEEKS - 1, MIN_JOBS_A_WEEK, False),
                                                       (MIN_WEEKS, MIN_JOBS_A_WEEK - 1, False)])  # fmt: skip
def test_a_range_takes_weeks_and_jobs_enough(count: int, each: int, ranged: bool) -> None:
    assert (moved(weeks(count, each))["goods"]["low"] is not None) == ranged


def test_returning_properties_bear_the_fixed_overhead() -> None:
    """Overhead 100 a job, half of it fixed, on the same feet: of .8 returning, .6 leaves 80 % of the feet, and 50
    becomes 62.5 of a cost of 650 in the mean: 11 x 12.5 / 650 more."""
    frames = weeks(overhead_usd=Decimal(100))
    rows = moved(frames, Ahead(fixed_share=0.5), returns=(0.8, 0.6, 0.9))
    row = rows["returning properties"]
    assert row["price_at_low"] == pytest.approx(11 * (1 + 12.5 / 650))
    assert row["price_at_high"] == pytest.approx(11 * (1 + (50 / 1.1 - 50) / 650))
    assert "returning properties" not in moved(frames, returns=(0.8, 0.6, 0.9))


def test_hours_spread_by_feet_move_no_hours_and_no_price_moves_nothing() -> None:
    frames = weeks(has_own_hours=False)
    assert set(moved(frames)) == {"goods"}
    assert moved(frames, price=None) == {}


def test_later_seasons_follow_a_geometric_chance() -> None:
    """.8 + .8^2 + ... = 4."""
    assert later_seasons(0.8) == pytest.approx(sum(0.8**k for k in range(1, 200)))
    assert later_seasons(0.0) == 0
    assert later_seasons(1.0) == np.inf


def test_goods_are_paid_for_when_what_is_left_has_reached_them() -> None:
    """150 left of 350 owing after the first season: 200 more at 100 a season."""
    assert seasons_to_pay_back(150, 350, 100) == 3
    assert seasons_to_pay_back(400, 350, 100) == 1
    assert seasons_to_pay_back(150, 350, 0) is None


def test_a_property_is_worth_its_first_season_and_those_that_follow() -> None:
    """New leased jobs leave 100 with 350 of goods carried on, repeat ones 150; 30 of 40 came back, 3 seasons on
    average: 100 + 3 x 150."""
    new = pl.col("work") == "new"
    money = {
        "invoiced_usd": pl.when(new).then(600).otherwise(650).cast(pl.Decimal(18, 2)),
        "capitalised_usd": pl.when(new).then(350).otherwise(0).cast(pl.Decimal(18, 2)),
    }
    jobs, properties = growing()
    frame, notes = renewals(jobs.filter(pl.col("season") == SEASON).with_columns(**money), properties, settings(),
                            season=SEASON)  # fmt: skip
    row = frame.row(0, named=True)
    assert (row["terms"], row["first_jobs"], row["later_jobs"], row["returned"], row["seen"]) == (
        "leased",
        30,
        30,
        30,
        40,
    )
    assert row["later_seasons"] == pytest.approx(3)
    assert row["worth_usd"] == pytest.approx(550)
    assert row["worth_low"] < 550 < row["worth_high"]
    # 350 - 100 = 250 owing, at 150 a season.
    assert row["paid_back_seasons"] == pytest.approx(1 + 250 / 150)
    assert not notes
    alone, notes = renewals(jobs.with_columns(**money), properties.clear(), settings(), season=SEASON)
    assert alone["worth_usd"].to_list() == [None]
    assert any("return_rate" in note for note in notes)
    few, notes = renewals(jobs.head(9).with_columns(**money), properties, settings(), season=SEASON)
    assert few.is_empty()
    assert "9 new and 0 repeat jobs" in notes[0]
