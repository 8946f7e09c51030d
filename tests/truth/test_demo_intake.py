"""The demo's intake: every planted mistake is found and named, and nothing else falls out."""

from __future__ import annotations

import polars as pl
import pytest
from support.demo import SEASONS, checked, mistakes

from pipeline.vocabulary import tables

Place = tuple[str, str, int]


def refused(season: int, place: str) -> set[Place]:
    frames = [frame.filter(pl.col("place") == place) for frame in checked(season).refused.values()]
    origins = [frame.select("source_file", "source_sheet", "source_row") for frame in frames]
    return set(pl.concat(origins).rows())


def found(season: int, severity: str) -> set[Place]:
    findings = checked(season).findings.filter(pl.col("severity") == severity)
    return set(findings.select("source_file", "source_sheet", "source_row").rows())


@pytest.mark.parametrize("season", SEASONS)
def test_the_rejected_rows_are_the_planted_ones_and_no_others(season: int) -> None:
    assert refused(season, "rejected") == mistakes(season, "rejected")


@pytest.mark.parametrize("season", SEASONS)
def test_each_rejected_row_is_named_by_a_finding_with_a_remedy(season: int) -> None:
    assert mistakes(season, "rejected") <= found(season, "error")
    assert checked(season).findings.filter(pl.col("remedy").fill_null("") == "").is_empty()


@pytest.mark.parametrize("season", SEASONS)
def test_each_doubtful_row_is_named_by_a_warning(season: int) -> None:
    assert mistakes(season, "warning") - mistakes(season, "rejected") <= found(season, "warning")


@pytest.mark.parametrize("season", SEASONS)
def test_a_mistyped_job_number_is_held_and_every_held_row_has_no_accepted_job(season: int) -> None:
    assert mistakes(season, "held") <= refused(season, "held")
    jobs = set(checked(season).records["jobs"].select("branch", "job_no").rows())
    runs = set(checked(season).records["runs"].select("branch", "job_no", "run_no").rows())
    for name, frame in checked(season).refused.items():
        held = frame.filter(pl.col("place") == "held")
        if name == "run_bulbs":
            assert not runs & set(held.select("branch", "job_no", "run_no").rows())
        elif "job_no" in held.columns:
            assert not jobs & set(held.select("branch", "job_no").rows()), name


@pytest.mark.parametrize("season", SEASONS)
def test_rows_read_are_accepted_rejected_held_or_set_aside_for_every_sheet(season: int) -> None:
    intake = checked(season).intake
    placed = intake.select(pl.sum_horizontal("accepted", "rejected", "held", "set_aside")).to_series()
    assert intake["rows_read"].to_list() == placed.to_list()
    assert intake.select("accepted").sum().item() == sum(f.height for f in checked(season).records.values())


@pytest.mark.parametrize("season", SEASONS)
def test_every_table_of_the_records_is_recognised(season: int) -> None:
    assert set(checked(season).records) == set(tables())


def test_a_list_of_chores_is_set_aside_by_name() -> None:
    aside = checked(2024).intake.filter(pl.col("record_table").is_null())
    assert aside.select("source_file", "source_sheet").rows() == [("season 2024.xlsx", "To do")]


def test_names_and_phones_are_left_out_and_named_in_the_intake() -> None:
    left = checked(2025).intake.filter(pl.col("record_table") == "jobs")["left_out"].to_list()
    assert left
    assert all("'Customer name': personal data" in text and "'Phone': personal data" in text for text in left)


def test_a_mistyped_number_gets_a_suggestion_where_one_job_is_near() -> None:
    unknown = checked(2025).findings.filter(pl.col("rule") == "the_job_is_known")
    assert unknown["message"].str.contains("did you mean").any()
