"""Orders of seasons that are over, against what was used."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import polars as pl
import pytest
from support.season_frames import (
    QUANTITY,
    SEASON,
    closing_stock,
    item_use,
    items,
    job_items,
    offers,
    property_seasons,
    settings,
)

from pipeline.decisions.backtest import SCHEMA, Past, backtest
from pipeline.decisions.demand import Records
from pipeline.statistics.newsvendor import pinball

BEFORE = SEASON - 1
TWO = {"new_jobs_low": "2", "new_jobs_likely": "2", "new_jobs_high": "2", "service_floor": "0"}


def counts(rows: list[dict[str, Any]]) -> pl.DataFrame:
    """facts.stock_counts: usable goods counted before the season's first installation."""
    usual = {"season": SEASON, "item_no": "LL", "condition": "usable", "end_of_season": "opening"}
    return pl.DataFrame(
        [usual | row for row in rows],
        schema={"season": pl.Int32, "item_no": pl.String, "condition": pl.String, "end_of_season": pl.String,
                "on_hand": QUANTITY},
    )  # fmt: skip


def past(
    used: int = 300, opening: pl.DataFrame | None = None, offered: pl.DataFrame | None = None, **more: Any
) -> Past:
    """Two jobs of 100 ft last season, and `used` feet in the season after; packs of 100 ft at $10."""
    jobs = [{"season": BEFORE, "net": Decimal(100), "built": Decimal(100)}] * 2
    jobs += [{"season": SEASON, "net": Decimal(used), "built": Decimal(used)}]
    records = Records(
        job_items(jobs), property_seasons([{}]).clear(),
        item_use([{"season": BEFORE, "item_no": "LL", "net_used": Decimal(200)},
                  {"season": SEASON, "item_no": "LL", "net_used": Decimal(used)}]),
        items([{"lead_days": 10}]).with_columns(season=pl.lit(BEFORE, dtype=pl.Int32)),
    )  # fmt: skip
    early = offers([{}]).clear() if offered is None else offered
    return Past(
        records, early.with_columns(season=pl.lit(BEFORE, dtype=pl.Int32)),
        closing_stock([{}]).clear(), counts([]) if opening is None else opening, lambda _: settings(**TWO | more),
        lambda _: 0.0,
    )  # fmt: skip


def tried(made: Past, season: int = SEASON) -> dict[str, dict[str, Any]]:
    frame, _ = backtest(made, season=season, seed=1)
    assert frame.schema == pl.Schema(SCHEMA)
    return {row["rule"]: row for row in frame.to_dicts()}


def test_what_was_missing_is_bought_in_a_hurry() -> None:
    """200 ft ordered at $.10, 300 used: 100 short at $.10 x 1.25: 20 + 12.50. Three packs would have been 30."""
    row = tried(past())["advised"]
    assert (row["of_season"], row["season"]) == (SEASON, SEASON + 1)
    assert (row["ordered"], row["used"], row["short"], row["left_over"]) == (200, 300, 100, 0)
    assert (row["cost_usd"], row["lost_usd"]) == pytest.approx((32.5, 2.5))
    assert row["chance_short"] == 0


def test_what_is_left_keeps_its_worth_less_holding_and_obsolescence() -> None:
    """200 ft ordered, 150 used: 50 left keep .75 x $.10: 20 - 3.75. 100 ft and 50 in a hurry are 10 + 6.25: 16.25."""
    row = tried(past(used=150))["advised"]
    assert (row["short"], row["left_over"]) == (0, 50)
    assert (row["cost_usd"], row["lost_usd"]) == pytest.approx((16.25, 0.0))


def test_rules_of_thumb_buy_whole_packs_of_last_seasons_use() -> None:
    """Last season's 200 ft are two packs; with 10 % on it 220 ft, three packs."""
    found = tried(past())
    assert (found["last_year"]["ordered"], found["last_year_plus_10"]["ordered"]) == (200, 300)
    assert found["last_year_plus_10"]["cost_usd"] == pytest.approx(30)
    assert found["last_year_plus_10"]["chance_short"] is None


def test_what_was_counted_before_the_season_was_there() -> None:
    """50 usable and 20 doubtful, half of them good, were there: 60 ft. Of 300 that leaves 240, 40 after two packs."""
    opening = counts([{"on_hand": Decimal(50)}, {"on_hand": Decimal(20), "condition": "doubtful"},
                      {"on_hand": Decimal(999), "end_of_season": "closing"}])  # fmt: skip
    row = tried(past(opening=opening))["advised"]
    assert (row["available"], row["short"]) == (60, 40)


def test_forecasts_are_scored_by_their_pinball_loss() -> None:
    """The need of 200 was certain and 300 were used: 100 x .1, .5 and .9; the rule's 220 likewise missed by 80."""
    found = tried(past())
    assert [found["advised"][f"pinball_p{n}"] for n in (10, 50, 90)] == pytest.approx([10, 50, 90])
    assert [found["last_year_plus_10"][f"pinball_p{n}"] for n in (10, 50, 90)] == pytest.approx([8, 40, 72])
    assert pinball([100.0], [300.0], 0.1) == pytest.approx(180)  # type: ignore[arg-type]


def test_a_top_up_follows_the_jobs_that_came() -> None:
    """One or two jobs were likely and the early order is for one; with one new job there is no top-up, and of the
    150 ft that it took 50 were bought in a hurry."""
    early = offers([{"pack_size": Decimal(100), "pack_price": Decimal("9.95"), "order_by": date(SEASON, 5, 1)}])
    likely = {"new_jobs_low": "0.5", "new_jobs_likely": "1.5", "new_jobs_high": "2.5"}
    row = tried(past(used=150, offered=early, **likely))["advised"]
    assert (row["ordered"], row["topped_up"], row["short"]) == (100, 0, 50)


def test_a_later_season_changes_nothing_for_an_earlier_one() -> None:
    """The order is worked out from what was known then: the season after next may hold anything."""
    made = past()
    later = job_items([{"season": SEASON + 1, "job_no": "z", "net": Decimal(9000), "built": Decimal(1)}])
    records = made.records
    more = Past(
        Records(pl.concat([records.job_items, later]), records.properties, records.item_use, records.items),
        made.offers, made.closing_stock, made.stock_counts, made.settings, made.contribution,
    )  # fmt: skip
    assert tried(more) == tried(made)


def test_one_season_cannot_be_tried_and_it_is_said() -> None:
    frame, notes = backtest(past(), season=BEFORE, seed=1)
    assert frame.is_empty()
    assert "takes two seasons in a row" in notes[0]
