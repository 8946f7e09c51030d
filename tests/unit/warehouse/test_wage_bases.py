"""Taxes on pay that stop at a yearly base: which seasons are refused, and what is said."""

from __future__ import annotations

import pytest
from support.tables import Season, load

from pipeline.errors import UsageError
from pipeline.settings import parse_setting, social_security_bases
from pipeline.warehouse import open_store
from pipeline.warehouse.wage_bases import require_wage_bases, years_of_employees

WORKERS = """
    | worker_no | engaged     | hourly_wage | from_date  |
    | W1        | employee    | 20          |            |
    | O1        | owner       |             |            |
    | S1        | subcontract |             |            |
    | S1        | employee    | 20          | 2027-03-01 |
"""


def season(hours: str, **settings: str) -> Season:
    """Season 2026: its hours may lie in 2027, after the last base that is known."""
    return Season(
        season=2026,
        settings={key.replace("__", ":"): value for key, value in settings.items()},
        jobs="| job_no | feet | install_date |\n| 1 | 100 | 2026-11-10 |",
        workers=WORKERS,
        hours=f"| job_no | worker_no | work_date | hours |\n{hours}",
    )


def check(made: Season) -> None:
    require_wage_bases(made.records, made.refused, made.settings.rows())


def test_the_bases_known_are_those_of_publication_15() -> None:
    """IRS Pub. 15: 168,600 (2024), 176,100 (2025), 184,500 (2026); the SSA's contribution and benefit base of 2023."""
    assert {base.year: int(base.usd) for base in social_security_bases()} == {
        2023: 160_200, 2024: 168_600, 2025: 176_100, 2026: 184_500,
    }  # fmt: skip


def test_hours_after_the_last_known_base_ask_for_the_setting() -> None:
    check(season("| 1 | W1 | 2026-12-31 | 8 |"))
    with pytest.raises(UsageError, match=r"fall in 2027.*2023 to 2026 alone: write social_security_base:2027 on the"):
        check(season("| 1 | W1 | 2027-01-01 | 8 |"))
    check(season("| 1 | W1 | 2027-01-01 | 8 |", social_security_base__2027="190000"))
    check(season("| 1 | W1 | 2027-01-01 | 8 |", social_security_base="190000"))
    check(season("| 1 | W1 | 2027-01-01 | 8 |", social_security="0"))


def test_only_hours_of_employees_ask_for_a_base() -> None:
    made = season("| 1 | O1 | 2027-01-05 | 8 |\n| 1 | S1 | 2027-02-28 | 8 |")
    assert years_of_employees(made.records, made.refused) == []
    check(made)
    with pytest.raises(UsageError, match="social_security_base:2027"):
        check(season("| 1 | S1 | 2027-03-01 | 8 |"))
    with pytest.raises(UsageError, match="social_security_base:2027"):
        check(season("| 1 | unlisted | 2027-01-05 | 8 |"))


def test_held_hours_ask_for_a_base_and_rejected_hours_do_not() -> None:
    def refused(place: str) -> Season:
        made = season("| 1 | W1 | 2026-11-10 | 8 |")
        row = f"| 99 | W1 | 2027-01-05 | 8 | {place} | made |"
        more = {"hours": f"| job_no | worker_no | work_date | hours | place | why |\n{row}"}
        made.refused = Season(season=2026, jobs="| job_no | feet |\n| 1 | 100 |", refused=more).refused
        return made

    check(refused("rejected"))
    with pytest.raises(UsageError, match="social_security_base:2027"):
        check(refused("held"))


def test_a_state_rate_without_its_base_is_refused_with_the_years_that_need_one() -> None:
    base = {"social_security_base__2027": "190000"}
    both = "| 1 | W1 | 2026-11-10 | 8 |\n| 1 | W1 | 2027-01-05 | 8 |"
    with pytest.raises(UsageError, match=r"without its base for 2026 and 2027: write state_base \(or state_base:2027"):
        check(season(both, **base, state_unemployment="0.027"))
    with pytest.raises(UsageError, match=r"without its base for 2027: write"):
        check(season(both, **base, state_unemployment="0.027", state_base__2026="9000"))
    check(season(both, **base, state_unemployment="0.027", state_base="9000"))
    check(season(both, **base, state_unemployment="0"))
    check(season(both, **base))


def test_both_faults_are_said_at_once() -> None:
    with pytest.raises(UsageError) as said:
        check(season("| 1 | W1 | 2027-01-05 | 8 |", state_unemployment="0.027"))
    assert "social_security_base:2027" in str(said.value)
    assert "state_base:2027" in str(said.value)


def test_nothing_is_loaded_of_a_season_whose_base_is_not_known() -> None:
    with open_store(":memory:") as store:
        with pytest.raises(UsageError, match="social_security_base:2027"):
            load(store, season("| 1 | W1 | 2027-01-05 | 8 |"))
        assert not store.columns("records.hours")


def test_a_season_without_hours_needs_no_base() -> None:
    made = Season(season=2030, jobs="| job_no | feet |\n| 1 | 100 |", settings={"state_unemployment": "0.02"})
    check(made)


def test_the_year_of_a_base_is_a_year() -> None:
    assert parse_setting("State Base:2026", "9,000")[0] == "state_base:2026"
    with pytest.raises(UsageError, match=r'"26" is not a year; write state_base:2026'):
        parse_setting("state_base:26", "9000")
