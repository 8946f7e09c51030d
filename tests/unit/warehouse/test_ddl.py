"""The records' tables: made from the vocabulary, with their keys, checks and comments."""

from __future__ import annotations

import pytest

from pipeline.vocabulary import tables
from pipeline.warehouse import make_tables, open_store
from pipeline.warehouse.ddl import column_names, record_ddl
from pipeline.warehouse.files import sql_folder

ORIGIN = "'season.xlsx', 'Workers'"


def test_the_files_are_those_that_the_vocabulary_makes() -> None:
    folder = sql_folder() / "records"
    kept = {path.name: path.read_text(encoding="utf-8") for path in folder.glob("*.sql")}
    assert kept == {f"{name}.sql": record_ddl(table) for name, table in tables().items()}


def test_the_tables_have_the_fields_in_order_and_their_origin() -> None:
    with open_store(":memory:") as store:
        make_tables(store)
        for name, table in tables().items():
            columns = store.columns(f"records.{name}")
            fields = [field for field in table.fields if field != "branch"]
            assert columns == ["season", "branch", *fields, "source_file", "source_sheet", "source_row", "branch_set"]
            assert store.columns(f"refused.{name}") == [*columns[:-1], "place", "why", "branch_set"]
            assert column_names(table, refused=True) == [*columns[:-1], "place", "why", "branch_set"]


def insert_worker(store, worker: str, wage: str, from_date: str, row: int, season: int = 2025) -> None:
    store.con.execute(
        f"""
        insert into records.workers values
        ({season}, null, '{worker}', null, 'employee', {wage}, {from_date}, null, {ORIGIN}, {row}, 'main')
        """
    )


def test_a_key_is_unique_in_its_season_and_two_blanks_are_one() -> None:
    with open_store(":memory:") as store:
        make_tables(store)
        insert_worker(store, "W1", "20", "null", 2)
        insert_worker(store, "W1", "21", "date '2025-09-01'", 3)
        insert_worker(store, "W1", "20", "null", 2, season=2024)
        with pytest.raises(Exception, match=r"(?i)duplicate key"):
            insert_worker(store, "W1", "22", "null", 4)


def test_a_value_outside_its_bounds_or_words_is_refused() -> None:
    with open_store(":memory:") as store:
        make_tables(store)
        with pytest.raises(Exception, match=r"(?i)check constraint"):
            insert_worker(store, "W1", "0", "null", 2)
        with pytest.raises(Exception, match=r"(?i)check constraint"):
            store.con.execute(
                f"""
                insert into records.workers values
                (2025, null, 'W1', null, 'volunteer', 20, null, null, {ORIGIN}, 2, 'main')
                """
            )


def test_a_refused_row_may_lack_anything_but_its_place_and_reasons() -> None:
    with open_store(":memory:") as store:
        make_tables(store)
        store.con.execute(
            f"""
            insert into refused.workers values
            (2025, null, null, null, null, -1, null, null, {ORIGIN}, 2, 'rejected', 'no worker is named', 'main')
            """
        )
        with pytest.raises(Exception, match=r"(?i)not null"):
            store.con.execute(
                f"""
                insert into refused.workers values
                (2025, null, null, null, null, -1, null, null, {ORIGIN}, 2, 'rejected', null, 'main')
                """
            )
