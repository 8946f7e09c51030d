"""Pairs of crews: told apart, or not, and how far their houses are alike."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import polars as pl
import pytest
from support.season_frames import SEASON, exposure, job_hours

from pipeline.decisions import contrasts as pairs
from pipeline.decisions.crews import CrewComparison, compare_crews

NO_EXPOSURE = exposure([{}]).clear()


def compared(
    skills: dict[str, float],
    *,
    noise: float = 0.15,
    jobs: int = 12,
    steep: dict[str, float] | None = None,
    seed: int = 1,
) -> CrewComparison:
    """Crews of these skills with luck of their own; `steep` sends a crew to houses of this slope and of others."""
    rng = np.random.default_rng(seed)
    rows = []
    for crew, skill in skills.items():
        for n in range(jobs):
            feet = 80 + 20 * n
            slope = (steep or {}).get(crew, 5.0) + n % 3
            hours = 0.05 * feet**0.9 * np.exp(rng.normal(0, noise) + 0.05 * slope) * skill
            rows.append({"crew": crew, "job_no": f"{crew}{n:03d}", "feet": Decimal(feet), "slope": Decimal(slope),
                         "install_hours": Decimal(str(round(hours, 6)))})  # fmt: skip
    return compare_crews(job_hours(rows), NO_EXPOSURE, season=SEASON, seed=1)


def pair(found: CrewComparison, crew: str, other: str) -> dict:
    rows = found.contrasts.filter((pl.col("crew") == crew) & (pl.col("other_crew") == other))
    return rows.row(0, named=True)


def test_every_pair_of_a_branch_has_a_row() -> None:
    found = compared({"A": 0.7, "B": 1.0, "C": 1.3, "D": 1.0})
    assert found.contrasts.schema == pl.Schema(pairs.SCHEMA)
    assert found.contrasts.select("crew", "other_crew").rows() == [
        ("A", "B"), ("A", "C"), ("A", "D"), ("B", "C"), ("B", "D"), ("C", "D")
    ]  # fmt: skip


def test_a_pair_s_ratio_is_that_of_its_crews() -> None:
    found = compared({"A": 0.7, "B": 1.0, "C": 1.3})
    ratio = dict(found.crews.select("crew", "ratio").rows())
    assert pair(found, "A", "C")["ratio"] == pytest.approx(ratio["A"] / ratio["C"])


def test_crews_far_apart_are_told_apart_and_said_to_be() -> None:
    row = pair(compared({"A": 0.7, "B": 1.0, "C": 1.3}), "A", "C")
    assert row["told_apart"]
    assert row["all_high"] < 1
    assert row["chance_faster"] > 0.99
    assert row["note"] == "A took fewer hours than C on equal houses"
    assert pair(compared({"A": 1.3, "C": 0.7}), "A", "C")["note"].startswith("C took fewer hours than A")


def test_limits_for_all_at_once_are_wider_and_agree_with_what_is_told() -> None:
    for row in compared({"A": 0.9, "B": 1.0, "C": 1.1, "D": 1.0}).contrasts.to_dicts():
        assert row["all_low"] < row["low"] < row["ratio"] < row["high"] < row["all_high"]
        assert row["told_apart"] == (row["all_low"] > 1 or row["all_high"] < 1)


def test_a_pair_that_would_stand_out_alone_is_not_told_apart_among_many() -> None:
    """By itself a difference of 2.6 standard errors is beyond 95 %; the largest of 28 pairs often is that large."""
    found = compared({f"C{n}": 1.0 for n in range(8)}, noise=0.3, seed=9)
    alone = [row for row in found.contrasts.to_dicts() if not row["low"] < 1 < row["high"]]
    assert alone, "the seed must hold such a pair"
    assert not any(row["told_apart"] for row in alone)
    assert all("cannot be told apart" in row["note"] for row in alone)


def test_the_same_houses_are_all_alike_and_steep_against_flat_are_not() -> None:
    assert pair(compared({"A": 1.0, "B": 1.0}), "A", "B")["houses_alike"] > 0.8
    row = pair(compared({"A": 1.0, "B": 1.0}, steep={"A": 2.0, "B": 13.0}, jobs=30), "A", "B")
    assert row["houses_alike"] < 0.5
    assert row["note"].endswith("rests on the model more than on the houses")


def test_crews_of_two_branches_are_no_pair() -> None:
    rows = [
        {"crew": crew, "branch": "east" if crew in "AB" else "west", "feet": Decimal(80 + 20 * n),
         "job_no": f"{crew}{n}", "install_hours": Decimal(str(5 + n + (n * 7 % 3)))}
        for crew in "ABCD" for n in range(10)
    ]  # fmt: skip
    found = compare_crews(job_hours(rows), NO_EXPOSURE, season=SEASON, seed=1)
    assert found.contrasts.select("crew", "other_crew").rows() == [("A", "B"), ("C", "D")]
