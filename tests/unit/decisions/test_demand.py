"""Next season's need, drawn."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import polars as pl
import pytest
from support.season_frames import SEASON, item_use, items, job_items, property_seasons, settings, shuffled

from pipeline.decisions.demand import DRIVERS, Demand, Records, cut_lists, next_season
from pipeline.decisions.policy import CUT_DRAWS, DEMAND_DRAWS

NONE = property_seasons([{}]).clear()
NO_SHOP = item_use([{}]).clear()
THREE = {"new_jobs_low": "3", "new_jobs_likely": "3", "new_jobs_high": "3"}
NO_NEW = dict.fromkeys(THREE, "0")
NEW = {"net": Decimal(100), "built": Decimal(80)}
REPEAT = {"work": "repeat", "terms": "leased", "net": Decimal(0), "built": Decimal(80)}


def drawn(
    rows: list[dict], properties: pl.DataFrame = NONE, shop: pl.DataFrame = NO_SHOP, life: int = 9, **given: str
) -> Demand:
    bought = items([{"item_no": name, "life_seasons": Decimal(life)} for name in ("LL", "BB", "SUND")])
    records = Records(job_items(rows), properties, shop, bought)
    return next_season(records, settings(**given), season=SEASON, seed=1)


def test_new_work_takes_what_new_jobs_took_offcut_and_all() -> None:
    """Three jobs at 100 ft issued for 80 ft built."""
    demand = drawn([NEW] * 4, **THREE)
    assert demand.new == pytest.approx(np.full_like(demand.new, 300.0))


def test_where_no_issue_was_written_down_the_built_quantity_is_needed_with_the_usual_offcut() -> None:
    """Three jobs issued 100 for 80; the fourth, of 80 without an issue, counts 80 x 300 / 240 = 100 too."""
    demand = drawn([NEW] * 3 + [{"net": Decimal(0), "built": Decimal(80)}], **THREE)
    assert demand.new == pytest.approx(np.full_like(demand.new, 300.0))


def test_a_job_is_drawn_whole() -> None:
    """A job of line LL has bulbs BB, one a foot: drawn together they stay equal, and lie between 3 x 60 and 3 x 200."""
    rows = []
    for n, feet in enumerate((60, 120, 200)):
        rows += [{"job_no": str(n), "item_no": item, "net": Decimal(feet), "built": Decimal(feet)}
                 for item in ("LL", "BB")]  # fmt: skip
    demand = drawn(rows, **THREE)
    assert demand.new[:, 0] == pytest.approx(demand.new[:, 1])
    assert demand.new.min() >= 180 - 1e-9
    assert demand.new.max() <= 600 + 1e-9
    assert demand.new[:, 0].mean() == pytest.approx(3 * 380 / 3, rel=0.02)


def test_jobs_of_the_season_before_are_drawn_half_as_often() -> None:
    """Two jobs of 100 ft this season and two of 200 ft the season before, at a half: (2 x 100 + 200) / 3 = 133.3."""
    before = {"season": SEASON - 1, "net": Decimal(200), "built": Decimal(200)}
    demand = drawn([NEW, NEW, before | {"job_no": "a"}, before | {"job_no": "b"}], **THREE)
    assert demand.new.mean() == pytest.approx(3 * 400 / 3, rel=0.03)


def test_an_earlier_job_of_goods_that_are_no_longer_listed_is_not_drawn() -> None:
    old = {"season": SEASON - 1, "job_no": "a", "net": Decimal(200), "built": Decimal(200)}
    demand = drawn([NEW, NEW, old, old | {"item_no": "GONE"}], **THREE)
    assert demand.new[:, demand.items.index("LL")] == pytest.approx(np.full(len(demand.new), 300.0))


def test_a_sum_of_new_jobs_spreads_by_chance_and_by_what_the_sample_leaves_open() -> None:
    """30 jobs of variance s2 (divisor 29), 30 more: 30 s2 (1 + 1) x 29 / 27, Student's predictive."""
    feet = np.random.default_rng(5).gamma(4, 30, 30).round()
    thirty = dict.fromkeys(THREE, "30")
    demand = drawn([{"net": Decimal(int(one)), "built": Decimal(int(one))} for one in feet], **thirty)
    assert demand.new[:, 0].var() == pytest.approx(30 * feet.var(ddof=1) * 2 * 29 / 27, rel=0.05)


def test_replacements_follow_what_stands_at_properties_that_return() -> None:
    """Past repeat jobs took 1 for 20 that stood; 40 properties of 80 ft return: 40 x 80 / 20 = 160 on average."""
    past = [REPEAT | {"season": SEASON - 1, "net": Decimal(4), "property_no": f"P{n}"} for n in range(40)]
    now = [REPEAT | {"net": Decimal(4), "property_no": f"P{n}"} for n in range(40)]
    back = drawn(past + now, property_seasons([{"tenure": 2}] * 40), return_rate="1", **NO_NEW)
    assert back.replaced.mean() == pytest.approx(160, rel=0.02)
    assert not back.back.any()
    half = drawn(past + now, property_seasons([{"tenure": 2}] * 40), return_rate="0.5", **NO_NEW)
    assert half.replaced.mean() == pytest.approx(80, rel=0.02)


def test_leased_goods_of_properties_that_do_not_return_come_back_by_the_doubtful_share() -> None:
    """Two leased properties of 80 ft, none returns: 160 ft, half of them usable."""
    gone = drawn([NEW, REPEAT, REPEAT], property_seasons([{"property_no": "P1"}, {"property_no": "P2"}]),
                 return_rate="0", **THREE)  # fmt: skip
    assert gone.back == pytest.approx(np.full_like(gone.back, 80.0))
    assert gone.replaced == pytest.approx(np.zeros_like(gone.back))
    assert gone.needs == pytest.approx(np.full_like(gone.back, 300.0 - 80.0))


def test_goods_that_were_sold_or_reach_their_end_do_not_come_back() -> None:
    home = property_seasons([{"property_no": "P0", "tenure": 3, "terms": "sold"}])
    assert not drawn([REPEAT | {"terms": "sold"}], home, return_rate="0", **THREE).back.any()
    leased = property_seasons([{"property_no": "P0", "tenure": 3}])
    assert not drawn([REPEAT], leased, life=3, return_rate="0", **THREE).back.any()
    assert drawn([REPEAT], leased, life=4, return_rate="0", **THREE).back == pytest.approx(40.0)


def test_more_coming_back_than_is_needed_is_a_need_of_nothing() -> None:
    rows = [NEW, REPEAT | {"built": Decimal(9000), "property_no": "P0"}]
    gone = drawn(rows, property_seasons([{}]), return_rate="0", **THREE)
    assert (gone.needs == 0).all()


@pytest.mark.parametrize("renewed", [0, 20, 40])
def test_goods_at_the_end_of_their_life_are_renewed_as_often_as_such_goods_were(renewed: int) -> None:
    """Of 40 properties on 80 ft cut 4 seasons ago with a life of 4, so many were cut anew last season: a flat prior's
    mean is (renewed + 1) / 42. This season one property reaches that age, and it returns."""
    past = [REPEAT | {"season": SEASON - 1, "property_no": f"Q{n}", "net": Decimal(80 if n < renewed else 0)}
            for n in range(40)]  # fmt: skip
    homes = [{"season": SEASON - 1, "property_no": f"Q{n}", "tenure": 5} for n in range(40)]
    homes.append({"property_no": "P", "tenure": 4})
    demand = drawn([*past, REPEAT | {"property_no": "P"}], property_seasons(homes), life=4, return_rate="1", **NO_NEW)
    chance = (renewed + 1) / 42
    error = 4 * (chance * (1 - chance) / DEMAND_DRAWS) ** 0.5
    assert (demand.replaced[:, 0] > 40).mean() == pytest.approx(chance, abs=error)


def test_goods_that_were_cut_anew_are_young_again() -> None:
    """Cut 5 seasons ago with a life of 4, and cut anew last season: next season they are 2 and not at their end."""
    rows = [REPEAT | {"property_no": "P", "season": SEASON - 1, "net": Decimal(80)}, REPEAT | {"property_no": "P"}]
    homes = property_seasons(
        [{"property_no": "P", "season": SEASON - 1, "tenure": 5}, {"property_no": "P", "tenure": 6}]
    )
    assert drawn(rows, homes, life=4, return_rate="1", **NO_NEW).replaced.max() < 40


def test_use_without_a_job_follows_the_number_of_jobs() -> None:
    """12 used by 4 jobs are 3 a job; the 3 jobs of next season take about 9."""
    demand = drawn([NEW] * 4, shop=item_use([{"net_without_job": Decimal(12)}]), **THREE)
    column = demand.items.index("SUND")
    assert np.median(demand.shop[:, column]) == pytest.approx(9, rel=0.02)
    assert demand.needs[:, column].std() > 1


def test_the_drivers_add_up_to_what_is_used_less_what_comes_back() -> None:
    homes = property_seasons([{"property_no": f"P{n}", "tenure": 2} for n in range(9)])
    rows = [NEW | {"job_no": f"n{n}", "net": Decimal(60 + n)} for n in range(9)] + [REPEAT | {"net": Decimal(3)}] * 9
    demand = drawn(rows, homes, return_rate="0.7")
    assert set(demand.drivers) == set(DRIVERS)
    assert sum(demand.drivers.values()) == pytest.approx(demand.new + demand.replaced + demand.shop - demand.back)


def test_what_is_foreseen_with_the_jobs_known_is_the_model_at_those_jobs() -> None:
    homes = property_seasons([{"property_no": f"P{n}", "tenure": 2} for n in range(2)])
    demand = drawn([NEW, *[REPEAT | {"property_no": f"P{n}", "net": Decimal(8)} for n in range(2)]], homes,
                   return_rate="0", **THREE)  # fmt: skip
    assert demand.foreseen == pytest.approx(np.tile(demand.model.of(3, np.zeros(2, bool)), (DEMAND_DRAWS, 1)))
    assert demand.foreseen[0, 0] == pytest.approx(3 * 100 - 2 * 80 / 2)


def test_a_single_season_counts_replacements_for_all_and_nothing_back_and_says_so() -> None:
    rows = [NEW, REPEAT | {"net": Decimal(8), "property_no": "P0"}]
    demand = drawn(rows, property_seasons([{"tenure": 2}]), **THREE)
    assert demand.replaced.mean() > 0
    assert not demand.back.any()
    assert any("return_rate is not given" in note for note in demand.notes)


def test_cut_lists_are_those_of_the_same_draws() -> None:
    """Each job has runs of 10 and 20 ft; what a draw cuts is its number of jobs times both."""
    rows = [NEW | {"net": Decimal(30), "built": Decimal(30)}] * 5
    demand = drawn(rows)
    runs = pl.DataFrame(
        [{"season": SEASON, "branch": "main", "job_no": f"{n:03d}", "line_item": "LL", "spacing_in": Decimal(12),
          "feet": Decimal(feet)} for n in range(5) for feet in (10, 20)],
        schema_overrides={"season": pl.Int32},
    )  # fmt: skip
    lists = cut_lists(demand, runs)
    assert lists.columns == ["draw", "line_item", "spacing_in", "feet", "pieces"]
    feet = lists.group_by("draw").agg((pl.col("feet") * pl.col("pieces")).sum()).sort("draw")
    by_draw = dict(feet.iter_rows())
    assert [by_draw.get(n, 0.0) for n in range(CUT_DRAWS)] == pytest.approx(demand.new[:CUT_DRAWS, 0].tolist())
    assert lists.equals(cut_lists(demand, shuffled(runs)))


def test_the_order_of_the_rows_does_not_matter() -> None:
    rows = job_items([NEW, NEW | {"net": Decimal(60)}, REPEAT, REPEAT | {"item_no": "BB", "terms": "sold"}])
    homes = property_seasons([{"returned": n % 3 > 0, "season": SEASON - 1} for n in range(9)] + [{}] * 4)
    shop = item_use([{"net_without_job": Decimal(3)}, {"net_without_job": Decimal(5), "season": SEASON - 1}])
    bought = items([{"item_no": name, "life_seasons": Decimal(3)} for name in ("LL", "BB")])
    one, two = (
        next_season(Records(a, b, c, d), settings(), season=SEASON, seed=1)
        for a, b, c, d in ((rows, homes, shop, bought), tuple(map(shuffled, (rows, homes, shop, bought))))
    )
    assert one.items == two.items
    assert (one.needs == two.needs).all()
