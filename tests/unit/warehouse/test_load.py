"""Replacing a season in the store: whole, by branches, with its audit."""

from __future__ import annotations

from dataclasses import dataclass

import polars as pl
import pytest
from support.tables import Season, assert_table, load

from pipeline.errors import StoreUnavailable, UsageError
from pipeline.warehouse import Run, Store, make_tables, open_store, record_outcome, transaction
from pipeline.warehouse.load import LONGEST_SET, set_of


@dataclass(frozen=True)
class File:
    path: str
    sha256: str
    rows: int
    problem: str | None = None


def season(jobs: str, year: int = 2025, **given: str) -> Season:
    return Season(season=year, jobs="| job_no | branch | feet |\n" + jobs, **given)


def jobs_of(store: Store) -> list[tuple[int, str, str]]:
    return store.read("records.jobs").select("season", "branch", "job_no").rows()


def test_closing_a_season_again_replaces_its_rows_and_leaves_other_seasons() -> None:
    with open_store(":memory:") as store:
        load(store, season("| 1 | main | 90 |", year=2024))
        load(store, season("| 1 | main | 100 |\n| 2 | main | 50 |"))
        load(store, season("| 2 | main | 55 |\n| 3 | main | 60 |"))
        assert jobs_of(store) == [(2024, "main", "1"), (2025, "main", "2"), (2025, "main", "3")]


def test_a_table_that_is_no_longer_handed_in_is_gone() -> None:
    with open_store(":memory:") as store:
        load(store, season("| 1 | main | 100 |", hours="| job_no | hours |\n| 1 | 5 |"))
        load(store, season("| 1 | main | 100 |"))
        assert store.read("records.hours").is_empty()
        assert store.read("audit.record_tables")["record_table"].to_list() == ["jobs"]


def test_branches_that_are_closed_apart_stand_beside_each_other() -> None:
    items = "| item_no | pack_price |\n| LL12 | 150 |"
    with open_store(":memory:") as store:
        load(store, season("| 1 | North | 100 |", items=items))
        load(store, season("| 1 | South | 100 |", items=items))
        load(store, season("| 4 | North | 100 |", items=items))
        assert jobs_of(store) == [(2025, "North", "4"), (2025, "South", "1")]
        assert store.read("records.items").select("item_no", "branch_set").rows() == [
            ("LL12", "North"), ("LL12", "South"),
        ]  # fmt: skip


def test_branches_closed_together_replace_each_alone() -> None:
    with open_store(":memory:") as store:
        load(store, season("| 1 | North | 100 |"))
        load(store, season("| 1 | South | 100 |"))
        load(store, season("| 5 | North | 100 |\n| 6 | South | 100 |"))
        assert jobs_of(store) == [(2025, "North", "5"), (2025, "South", "6")]
        assert set(store.read("records.jobs")["branch_set"]) == {"North + South"}


def test_a_part_of_the_branches_closed_together_is_refused_and_nothing_is_changed() -> None:
    with open_store(":memory:") as store:
        load(store, season("| 1 | North | 100 |\n| 2 | South | 100 |"))
        with (
            pytest.raises(UsageError, match=r"closed with the branches North \+ South together"),
            transaction(store),
        ):
            load(store, season("| 9 | South | 100 |"))
        with pytest.raises(UsageError, match="close them together again"), transaction(store):
            load(store, season("| 9 | South | 100 |\n| 9 | West | 100 |"))
        assert jobs_of(store) == [(2025, "North", "1"), (2025, "South", "2")]


def test_many_branches_stand_under_a_short_name_and_are_replaced_and_refused_by_their_own_names() -> None:
    many = [f"Branch {number:02d}" for number in range(1, 13)]
    rows = "\n".join(f"| {number} | {name} | 100 |" for number, name in enumerate(many))
    with open_store(":memory:") as store:
        load(store, season(rows))
        (stored,) = set(store.read("records.jobs")["branch_set"])
        assert stored.startswith("Branch 01 + 11 more, ")
        assert len(stored) <= LONGEST_SET
        with pytest.raises(UsageError, match=r"Branch 01 \+ Branch 02 .* \+ Branch 12 together"), transaction(store):
            load(store, season("| 9 | Branch 03 | 100 |"))
        load(store, season(rows + "\n| 99 | Branch 13 | 100 |"))
        assert len(jobs_of(store)) == 13


def test_a_set_of_branches_is_its_names_up_to_sixty_letters_and_sets_that_differ_have_names_that_differ() -> None:
    assert set_of(("b" * 29, "a" * 28)) == "a" * 28 + " + " + "b" * 29
    assert set_of(("b" * 29, "a" * 29)).startswith("a" * 29 + " + 1 more, ")
    assert set_of(("b" * 29, "a" * 29)) != set_of(("c" * 29, "a" * 29))


def test_a_folder_without_an_accepted_job_cannot_be_closed() -> None:
    with open_store(":memory:") as store, pytest.raises(UsageError, match="No job was accepted"):
        load(store, season(""))


def test_rows_that_were_not_accepted_are_kept_with_their_reasons() -> None:
    refused = {"hours": "| job_no | hours | place | why |\n| 7 | 5 | held | job 7 is missing |"}
    with open_store(":memory:") as store:
        load(store, Season(jobs="| job_no | feet |\n| 1 | 100 |", refused=refused))
        assert_table(
            store.read("refused.hours"),
            """
                | job_no | hours | place | why              |
                | 7      | 5     | held  | job 7 is missing |
            """,
        )
        assert_table(
            store.read("audit.record_tables"),
            """
                | record_table | accepted | refused |
                | jobs         | 1        | 0       |
                | hours        | 0        | 1       |
            """,
        )


def test_a_run_is_written_down_once_with_its_files() -> None:
    run = Run("2025-a", "2026-03-01T08:00:00+00:00", "0.1", "season 2025")
    files = (File("jobs.xlsx", "ab" * 32, 12), File("hours.csv", "cd" * 32, 40))
    with open_store(":memory:") as store:
        load(store, season("| 1 | main | 100 |"), run)
        record_outcome(store, run, season=2025, files=files, outcome="closed")
        record_outcome(store, run, season=2025, files=files, outcome="closed")
        (row,) = store.read("audit.runs", 2025).to_dicts()
    assert row["run_id"] == "2025-a"
    assert row["branch_set"] == "main"
    assert row["outcome"] == "closed"
    assert row["files"] == [
        {"path": "jobs.xlsx", "sha256": "ab" * 32, "rows": 12},
        {"path": "hours.csv", "sha256": "cd" * 32, "rows": 40},
    ]


def test_settings_and_mile_rates_are_there_to_be_read() -> None:
    with open_store(":memory:") as store:
        load(store, Season(jobs="| job_no | feet |\n| 1 | 100 |", settings={"owner_wage": "$35"}))
        given = store.read("reference.settings", 2025).filter(origin="given")
        assert given.select("setting", "value").rows() == [("owner_wage", "35")]
        # IRS standard mileage rates: 70 cents in 2025, 72.5 cents from 1 January 2026.
        assert_table(
            store.read("reference.mile_rates").filter(pl.col("from_date").dt.year() == 2025),
            """
                | from_date  | to_date    | usd_per_mile |
                | 2025-01-01 | 2025-12-31 | 0.70         |
            """,
        )


def test_a_store_of_another_version_is_refused_with_the_remedy() -> None:
    with open_store(":memory:") as store:
        make_tables(store)
        store.con.execute("alter table audit.findings drop column remedy")
        with pytest.raises(StoreUnavailable, match=r"made by another version of perfoot: audit\.findings has other"):
            make_tables(store)
