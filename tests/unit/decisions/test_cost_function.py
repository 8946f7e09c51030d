"""What going to a job costs and what a foot adds, overhead on top, and what follows for the least charge."""

from __future__ import annotations

from typing import Any

import numpy as np
import polars as pl
import pytest
from scipy.optimize import lsq_linear
from support.season_frames import settings

from pipeline.decisions.cost_function import CostFunction, cost_function
from pipeline.decisions.cost_groups import Group, in_words

SIZES = np.arange(50.0, 350.0, 10.0)
"""30 jobs of 50 to 340 ft: 5,850 ft in all."""
NO_RUNS = pl.DataFrame(schema={"branch": pl.String, "job_no": pl.String, "surface": pl.String, "feet": pl.Float64})
OVERHEADS = {"basis": pl.String, "behaves": pl.String, "amount": pl.Float64}


def jobs(**given: Any) -> pl.DataFrame:
    """30 jobs that cost 100 and 2 a foot, and take 3 h and .05 h a foot, unless given otherwise."""
    usual: dict[str, Any] = {
        "branch": "b", "job_no": [f"{n:02d}" for n in range(30)], "work": "new", "terms": "sold", "stories": 1,
        "feet": SIZES, "direct_hours": 3 + 0.05 * SIZES, "labor_usd": 100 + 2 * SIZES, "materials_usd": None,
        "travel_usd": None, "equipment_usd": 0.0, "service_usd": 0.0, "invoiced_usd": 5 * SIZES, "is_final": True,
        "is_understated": False, "has_own_hours": True,
    }  # fmt: skip
    columns = {
        name: list(value) if isinstance(value, (list, np.ndarray)) else [value] * 30
        for name, value in (usual | given).items()
    }
    return pl.DataFrame(columns)


def of(frame: pl.DataFrame, runs: pl.DataFrame = NO_RUNS, overheads: tuple = (), **given: str) -> CostFunction:
    amounts = pl.DataFrame(list(overheads), schema=OVERHEADS, orient="row")
    return cost_function(frame, runs, amounts, settings(**given), season=2025, seed=4)


def values(result: CostFunction) -> dict[str, float | None]:
    return dict(result.limits.select("what", "value").rows())


def test_the_start_and_the_rate_are_those_of_the_jobs() -> None:
    lines = of(jobs()).lines.to_dicts()
    assert [(row["term"], row["what"], row["jobs"], row["feet"]) for row in lines] == [
        ("start", "Going there at all", 30, 5850.0),
        ("foot", "roofline, 1 story", 30, 5850.0),
    ]
    assert [row["direct_usd"] for row in lines] == pytest.approx([100, 2])
    assert [row[end] for row in lines for end in ("low", "high")] == pytest.approx([100, 100, 2, 2])


def test_overhead_is_added_by_its_basis_fixed_and_variable_apart() -> None:
    # 3,000 by jobs: 100 each. 585 by feet: .10 each. Hours are 90 + 292.5 = 382.5, so 765 by hours is 2 an hour: 3 h
    # and .05 h make 6 and .10. 2,925 by revenue is a tenth of 29,250, of any price.
    overheads = (
        ("jobs", "fixed", 3000), ("feet", "variable", 585), ("hours", "fixed", 765), ("revenue", "variable", 2925),
    )  # fmt: skip
    result = of(jobs(), overheads=overheads, target_margin="0.35")
    start, foot = result.lines.to_dicts()
    assert [start["variable_usd"], start["fixed_usd"], start["full_usd"]] == pytest.approx([0, 106, 206])
    assert [foot["variable_usd"], foot["fixed_usd"], foot["full_usd"]] == pytest.approx([0.1, 0.1, 2.2])
    # a dollar charged leaves .90 after overhead by revenue, .55 after the margin besides; the price was 5 a foot
    expected = {
        "going_there": 206 / 0.9, "mean_foot": 2.2, "minimum_charge": 206 / 0.55, "break_even_size": 206 / (4.5 - 2.2),
        "target_size": 206 / (2.75 - 2.2),
    }  # fmt: skip
    assert values(result) == pytest.approx(expected)
    sizes = {row["feet"]: row for row in result.sizes.to_dicts()}
    assert list(sizes) == [50, 75, 100, 150, 200, 300]
    assert sizes[100]["cost_usd_per_ft"] == pytest.approx(2.06 + 2.2 + 0.5)
    assert sizes[100]["cost_usd"] == pytest.approx(476)
    assert sizes[100]["charged_usd_per_ft"] == pytest.approx(5)


def test_a_basis_that_is_nothing_is_stood_in_for_by_feet() -> None:
    result = of(jobs(invoiced_usd=0.0), overheads=(("revenue", "fixed", 5850),))
    assert result.lines["fixed_usd"].to_list() == pytest.approx([0, 1])
    assert result.sizes["charged_usd_per_ft"].to_list() == [None] * 6


def test_a_price_that_does_not_pay_for_a_foot_has_no_size_at_which_a_job_pays() -> None:
    assert values(of(jobs(invoiced_usd=1.9 * SIZES)))["break_even_size"] is None
    barely = values(of(jobs(invoiced_usd=2.1 * SIZES)))
    assert barely["break_even_size"] == pytest.approx(1000)
    assert barely["target_size"] is None


def test_a_margin_that_no_price_can_leave_gives_no_least_charge() -> None:
    overheads = (("revenue", "fixed", 0.7 * 5 * 5850),)
    assert "minimum_charge" not in values(of(jobs(), overheads=overheads, target_margin="0.35"))
    assert "minimum_charge" in values(of(jobs(), overheads=overheads, target_margin="0.25"))


def test_the_fit_is_that_of_scipy_s_other_solver() -> None:
    """Two surfaces, of which 30 jobs allow one rate: 15 for each coefficient."""
    rng = np.random.default_rng(8)
    gutter = SIZES * rng.uniform(0.3, 1, 30)
    cost = 80 + 3 * gutter - 0.4 * (SIZES - gutter) + rng.normal(0, 25, 30)
    frame = jobs(labor_usd=cost)
    pieces = [("b", f"{n:02d}", "gutter", gutter[n]) for n in range(30)]
    pieces += [("b", f"{n:02d}", "trim", SIZES[n] - gutter[n]) for n in range(30)]
    result = of(frame, pl.DataFrame(pieces, schema=NO_RUNS.schema, orient="row"))
    x = np.column_stack([np.ones(30), gutter + (SIZES - gutter)]) / np.sqrt(SIZES)[:, None]
    other = lsq_linear(x, cost / np.sqrt(SIZES), (0, np.inf), method="bvls").x
    assert result.lines["what"].to_list() == ["Going there at all", "any surface, 1 story"]
    assert result.lines["direct_usd"].to_list() == pytest.approx(other.tolist(), rel=1e-6)


def test_what_the_function_gives_adds_up_to_what_the_jobs_cost() -> None:
    cost = (100 + 2 * SIZES) * np.random.default_rng(2).lognormal(0, 0.3, 30)
    start, foot = of(jobs(labor_usd=cost)).lines["direct_usd"].to_list()
    assert 30 * start + 5850 * foot == pytest.approx(cost.sum())


def test_the_order_of_jobs_changes_nothing() -> None:
    cost = (100 + 2 * SIZES) * np.random.default_rng(2).lognormal(0, 0.3, 30)
    frame = jobs(labor_usd=cost)
    assert of(frame).lines.equals(of(frame.reverse()).lines)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"has_own_hours": False}, "hours are not written down by job"),
        ({"feet": [None, *SIZES[1:]]}, "needs 30 jobs with feet, costs and hours of their own; this season has 29"),
        ({"labor_usd": [0.0, *SIZES[1:]]}, "this season has 29"),
    ],
)
def test_without_enough_jobs_it_says_why(given: dict[str, Any], said: str) -> None:
    result = of(jobs(**given))
    assert result.lines.is_empty()
    assert result.limits.is_empty()
    assert result.sizes.is_empty()
    assert said in " ".join(result.notes)


def test_jobs_that_are_understated_are_said() -> None:
    assert "The cost of 2 of these jobs is understated" in of(jobs(is_understated=[True] * 2 + [False] * 28)).notes[0]


def test_jobs_alike_in_size_are_said_to_hide_the_start() -> None:
    """One size, give or take a foot: the columns all but depend on each other."""
    result = of(jobs(feet=200 + SIZES / 350, labor_usd=500.0, direct_hours=10.0))
    assert any("so alike in size" in note for note in result.notes)


def test_open_jobs_and_jobs_without_runs_are_left_out_where_there_are_enough_others() -> None:
    twice = pl.concat([jobs(), jobs(job_no=[f"{n:02d}" for n in range(30, 60)])])
    open_jobs = twice.with_columns(is_final=pl.col("job_no") < "50")
    assert of(open_jobs).notes[0] == "10 jobs are still to be taken down and left out."
    some = pl.DataFrame([("b", f"{n:02d}", "gutter", float(SIZES[n % 30])) for n in range(40)], schema=NO_RUNS.schema,
                        orient="row")  # fmt: skip
    result = of(twice, some)
    assert result.notes[0] == "20 jobs are without runs, so without surfaces, and left out."
    assert result.lines["jobs"].to_list() == [40, 40]


def group(*kinds: tuple[str, int]) -> Group:
    return Group(frozenset(kinds), ())


@pytest.mark.parametrize(
    ("kinds", "words"),
    [
        ([("gutter", 0)], "gutter, 1 story"),
        ([("gutter", 0), ("trim", 0)], "gutter and trim, 1 story"),
        ([("gutter", 1), ("gutter", 2)], "gutter, 2 stories or more"),
        ([("gutter", 0), ("gutter", 1)], "gutter, 1 and 2 stories"),
        ([("gutter", 0), ("gutter", 1), ("gutter", 2)], "gutter, any height"),
        ([("gutter", 2), ("trim", 2), ("ridge", 2)], "any surface, 3 stories or more"),
        ([("gutter", 0), ("trim", 2)], "gutter, 1 story; trim, 3 stories or more"),
    ],
)
def test_kinds_of_roofline_in_words(kinds: list[tuple[str, int]], words: str) -> None:
    everything = [group(*((surface, band) for surface in ("gutter", "trim", "ridge") for band in range(3)))]
    assert in_words(group(*kinds), everything) == words
