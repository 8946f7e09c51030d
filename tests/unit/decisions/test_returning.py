"""Who of the season's properties comes back, and how many new jobs there will be."""

from __future__ import annotations

from datetime import date
from math import sqrt

import numpy as np
import polars as pl
import pytest
from support.season_frames import SEASON, property_seasons, settings

from pipeline.decisions.demand_new import new_jobs
from pipeline.decisions.policy import DEMAND_DRAWS, MOST_TENURES, TENURE_WORTH
from pipeline.decisions.returning import NO_LATER_QUOTES, NO_QUOTES, Ahead, Returns, returning, settled

ALL = slice(0, DEMAND_DRAWS)


def rng() -> np.random.Generator:
    return np.random.default_rng(1)


def shares(found: Returns) -> np.ndarray:
    """How often each property comes back."""
    return np.asarray(found.drawn(ALL, rng()).mean(axis=0))


def test_the_chance_of_returning_comes_from_pairs_of_seasons_by_terms() -> None:
    """Of 100 leased 90 came back, of 100 sold 60, all in their first season. The common mean is 91/102; the tenure's
    own is (20 x 91/102 + 90) / 120, and for sold (20 x 61/102 + 60) / 120."""
    past = [{"season": SEASON - 1, "terms": terms, "returned": n < came, "property_no": f"{terms}{n}"}
            for terms, came in (("leased", 90), ("sold", 60)) for n in range(100)]  # fmt: skip
    now = [{"terms": terms, "property_no": f"now{terms}"} for terms in ("leased", "sold")]
    found = returning(property_seasons(past + now), settings(return_rate="0.1"), SEASON, rng())
    expected = [(TENURE_WORTH * (came + 1) / 102 + came) / (TENURE_WORTH + 100) for came in (90, 60)]
    assert shares(found) == pytest.approx(expected, abs=4 * sqrt(0.25 / DEMAND_DRAWS))
    assert "150 of 200 properties" in found.notes[0]


def test_a_tenure_that_was_not_seen_has_the_chance_of_the_others() -> None:
    past = [{"season": SEASON - 1, "returned": n < 90, "property_no": f"P{n}"} for n in range(100)]
    found = returning(property_seasons([*past, {"tenure": 7}]), settings(), SEASON, rng())
    assert found.cell.tolist() == [MOST_TENURES - 1]
    assert shares(found)[0] == pytest.approx(91 / 102, abs=0.02)


def test_terms_that_were_not_seen_have_the_chance_of_all() -> None:
    past = [{"season": SEASON - 1, "returned": n < 90, "property_no": f"P{n}"} for n in range(100)]
    found = returning(property_seasons([*past, {"terms": "sold"}]), settings(), SEASON, rng())
    assert shares(found)[0] == pytest.approx(91 / 102, abs=0.02)


def test_properties_of_one_tenure_come_and_stay_away_together_where_little_is_known() -> None:
    """Of 3 properties 2 came back: the chance is open, and the number of 100 that return spreads far wider than a
    binomial at 3/5 would, sqrt(100 x .6 x .4) = 4.9."""
    past = [{"season": SEASON - 1, "returned": n < 2, "property_no": f"P{n}"} for n in range(3)]
    now = [{"property_no": f"N{n}"} for n in range(100)]
    found = returning(property_seasons(past + now), settings(), SEASON, rng())
    assert found.drawn(ALL, rng()).sum(axis=1).std() > 15


def test_pairs_of_a_later_season_are_not_used() -> None:
    found = returning(property_seasons([{"returned": True}, {"season": SEASON + 1}]), settings(), SEASON, rng())
    assert "return_rate is not given" in found.notes[0]


def test_a_property_in_two_branches_is_one() -> None:
    twice = property_seasons([{"property_no": "P", "branch": branch} for branch in ("north", "south")])
    assert returning(twice, settings(return_rate="1"), SEASON, rng()).properties.height == 1


def quotes(rows: list[dict]) -> pl.DataFrame:
    usual = {"quote_date": date(2032, 3, 1), "work": "repeat", "outcome": "won", "is_aged": False}
    return pl.DataFrame([usual | row for row in rows], schema_overrides={"customer_no": pl.String})


def test_renewals_signed_and_turned_down_since_the_season_are_taken_as_that() -> None:
    ahead = settled(
        quotes([{"customer_no": "P0"}, {"customer_no": "P1", "outcome": "lost"},
                {"customer_no": "P2", "quote_date": date(2031, 11, 1)}, {"customer_no": "P3", "outcome": "open"},
                {"customer_no": "P4", "outcome": "lost", "is_aged": True}, {"customer_no": None},
                {"customer_no": "new", "work": "new"}]),
        [date(2031, 12, 10), date(2031, 10, 1)],
    )  # fmt: skip
    assert ahead == Ahead(frozenset({"P0"}), frozenset({"P1"}), 1)
    found = returning(property_seasons([{}] * 5), settings(return_rate="0.5"), SEASON, rng(), ahead)
    assert shares(found) == pytest.approx([1, 0, 0.5, 0.5, 0.5], abs=0.02)
    assert found.notes[-1] == "Of next season 1 renewal is signed already and 1 turned down; they count as that."


def test_a_customer_with_two_properties_settles_neither() -> None:
    homes = property_seasons([{"customer_no": "C"}, {"customer_no": "C"}])
    found = returning(homes, settings(return_rate="0.5"), SEASON, rng(), Ahead(frozenset({"C"})))
    assert np.isnan(found.known).all()


def test_without_an_installation_nothing_is_settled() -> None:
    assert settled(quotes([{"customer_no": "P0"}]), []) == Ahead()


def test_no_quotes_and_none_after_the_season_are_each_said() -> None:
    assert settled(quotes([{}]).clear(), [date(SEASON, 12, 1)]) == Ahead(notes=(NO_QUOTES,))
    before = quotes([{"customer_no": "P0", "quote_date": date(SEASON, 10, 1)}])
    assert settled(before, [date(SEASON, 12, 1)]) == Ahead(notes=(NO_LATER_QUOTES,))


def test_the_number_of_new_jobs_is_triangular_between_the_settings() -> None:
    """Mean (80 + 102 + 128) / 3."""
    counts, _ = new_jobs([90], settings(new_jobs_low="80", new_jobs_likely="102", new_jobs_high="128"), rng())
    assert counts.min() >= 80
    assert counts.max() <= 128
    assert counts.mean() == pytest.approx(310 / 3, abs=0.6)


def test_jobs_that_are_signed_are_the_least() -> None:
    counts, notes = new_jobs([3], settings(), rng(), signed=5)
    assert counts.min() == 5
    assert "5 new jobs" in notes[0]


def test_settings_out_of_order_are_not_used_and_said() -> None:
    given = settings(new_jobs_low="80", new_jobs_likely="70", new_jobs_high="128")
    counts, notes = new_jobs([90], given, rng())
    assert np.median(counts) == pytest.approx(90, abs=2)
    assert "do not rise" in notes[0]


@pytest.mark.parametrize(
    ("by_season", "said"),
    [([90], "from this season's 90 and what"), ([80, 90], "from this season's 90, the season before it and what"),
     ([70, 80, 90], "from this season's 90, the seasons before it and what")],
)  # fmt: skip
def test_what_seasons_tell_of_new_jobs_is_said_with_its_range(by_season: list[int], said: str) -> None:
    counts, notes = new_jobs(by_season, settings(), rng())
    low, middle, high = (round(float(np.quantile(counts, level))) for level in (0.1, 0.5, 0.9))
    assert notes[-1].startswith(
        f"New jobs lie between {low} and {high} in four seasons of five, {middle} in the middle:"
    )
    assert said in notes[-1]


def test_a_last_season_without_new_jobs_is_said() -> None:
    assert "had no new job" in new_jobs([5, 0], settings(), rng())[1][-1]


def test_no_season_and_no_new_jobs_foretell_none() -> None:
    assert not new_jobs([], settings(), rng())[0].any()
    assert not new_jobs([0], settings(), rng())[0].any()
