"""Opening the store, one transaction, and frames in and out."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import duckdb
import polars as pl
import pytest

from pipeline.errors import StoreUnavailable
from pipeline.warehouse import open_store, transaction


def test_a_frame_comes_back_as_it_went_in(tmp_path: Path) -> None:
    frame = pl.DataFrame(
        {"season": [2025, 2025], "feet": [Decimal("120.500000000001"), None], "note": [None, "a 'quoted' word"]},
        schema={"season": pl.Int32, "feet": pl.Decimal(26, 12), "note": pl.String},
    )
    with open_store(tmp_path / "season.duckdb") as store:
        store.con.execute("create table main.kept (season integer, feet decimal(26, 12), note varchar)")
        store.insert("main.kept", frame)
    with open_store(tmp_path / "season.duckdb", read_only=True) as store:
        assert store.read("main.kept").equals(frame)


def test_a_table_is_kept_in_pieces_that_two_processors_can_share(tmp_path: Path) -> None:
    """20,000 rows: one piece of 16,384 and one of the rest."""
    pieces = "select count(distinct row_group_id) from pragma_storage_info('main.kept')"
    with open_store(tmp_path / "season.duckdb") as store:
        store.con.execute("create table main.kept as select range as season from range(20000)")
    with open_store(tmp_path / "season.duckdb", read_only=True) as store:
        assert store.query(pieces).item() == 2


def test_a_store_s_path_may_have_a_quote_and_it_opens_as_any_database(tmp_path: Path) -> None:
    path = tmp_path / "the firm's.duckdb"
    with open_store(path) as store:
        store.con.execute("create table main.kept as select 2025 as season")
    with duckdb.connect(path, read_only=True) as client:
        assert client.execute("select season from kept").fetchall() == [(2025,)]


def test_a_column_of_nulls_without_a_type_is_taken() -> None:
    with open_store(":memory:") as store:
        store.con.execute("create table main.kept (season integer, feet decimal(26, 12))")
        store.insert("main.kept", pl.DataFrame({"season": [2025], "feet": [None]}))
        assert store.read("main.kept")["feet"].to_list() == [None]


def test_rows_are_read_in_one_order_however_they_were_written() -> None:
    with open_store(":memory:") as store:
        store.con.execute("create table main.kept (season integer, crew varchar)")
        store.insert("main.kept", pl.DataFrame({"season": [2025, 2024, 2025], "crew": ["Maple", "Oak", "Birch"]}))
        assert store.read("main.kept")["crew"].to_list() == ["Oak", "Birch", "Maple"]
        assert store.read("main.kept", 2025)["crew"].to_list() == ["Birch", "Maple"]


def test_writing_replaces_the_rows_of_that_season_alone() -> None:
    with open_store(":memory:") as store:
        store.con.execute("create table main.kept (season integer, crew varchar)")
        store.write("main.kept", pl.DataFrame({"crew": ["Oak"]}), 2024)
        store.write("main.kept", pl.DataFrame({"crew": ["Maple", "Birch"]}), 2025)
        store.write("main.kept", pl.DataFrame({"crew": ["Cedar"]}), 2025)
        assert store.read("main.kept").rows() == [(2024, "Oak"), (2025, "Cedar")]


def test_a_frame_with_other_columns_is_refused() -> None:
    with open_store(":memory:") as store:
        store.con.execute("create table main.kept (season integer, crew varchar)")
        with pytest.raises(ValueError, match=r"lacks \['crew'\] and has \['team'\]"):
            store.write("main.kept", pl.DataFrame({"team": ["Oak"]}), 2024)


def test_a_table_that_is_not_there_is_named() -> None:
    with open_store(":memory:") as store, pytest.raises(KeyError, match=r"measures\.nothing"):
        store.read("measures.nothing")


@pytest.mark.parametrize("error", [ValueError, KeyboardInterrupt, SystemExit])
def test_an_exception_undoes_everything_done_inside(error: type[BaseException]) -> None:
    def fail() -> None:
        with transaction(store):
            store.con.execute("create table main.made (n integer)")
            store.con.execute("insert into main.kept values (2)")
            raise error

    with open_store(":memory:") as store:
        store.con.execute("create table main.kept (n integer)")
        store.con.execute("insert into main.kept values (1)")
        with pytest.raises(error):
            fail()
        assert store.con.execute("select n from main.kept").fetchall() == [(1,)]
        assert store.columns("main.made") == []


def test_an_error_of_the_database_is_not_lost_in_a_silent_rollback() -> None:
    def fail() -> None:
        with transaction(store):
            store.con.execute("insert into main.kept values (2)")
            store.con.execute("insert into main.kept values ('not a number')")

    with open_store(":memory:") as store:
        store.con.execute("create table main.kept (n integer)")
        with pytest.raises(Exception, match="not a number"):
            fail()
        assert store.con.execute("select n from main.kept").fetchall() == []


def test_nothing_is_installed_or_loaded_from_outside_and_nobody_can_switch_it_on() -> None:
    with open_store(":memory:") as store:
        query = "select name, value from duckdb_settings() where name like 'auto%known_extensions' order by name"
        assert store.con.execute(query).fetchall() == [
            ("autoinstall_known_extensions", "false"),
            ("autoload_known_extensions", "false"),
        ]
        with pytest.raises(Exception, match="configuration has been locked"):
            store.con.execute("set autoinstall_known_extensions = true")


def test_a_file_that_is_no_store_is_refused_with_the_remedy(tmp_path: Path) -> None:
    path = tmp_path / "season.duckdb"
    path.write_text("job_no,feet\n1042,120\n")
    with pytest.raises(StoreUnavailable, match=r"is not a store\. Name another file with --store"), open_store(path):
        pass


def test_a_store_that_is_not_there_cannot_be_read(tmp_path: Path) -> None:
    path = tmp_path / "season.duckdb"
    with pytest.raises(StoreUnavailable, match="Close a season first"), open_store(path, read_only=True):
        pass
    assert not path.exists()


def test_a_missing_folder_is_made_for_a_new_store(tmp_path: Path) -> None:
    with open_store(tmp_path / "firm" / "season.duckdb") as store:
        store.con.execute("select 1").fetchall()
    assert (tmp_path / "firm" / "season.duckdb").exists()
