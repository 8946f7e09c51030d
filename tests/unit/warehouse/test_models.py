"""The models of sql/: their order, their comments, and what is said of a wrong one."""

from __future__ import annotations

import json
from pathlib import Path

import duckdb
import pytest
from support.tables import Season, load

from pipeline.errors import ControlDifference
from pipeline.warehouse import (
    ModelError,
    build_models,
    drop_passing,
    make_tables,
    models,
    open_store,
    run_checks,
    transaction,
)
from pipeline.warehouse.files import SqlFile, files_of, model_files, table_files
from pipeline.warehouse.models import build_order, tables_read


def model(name: str, query: str) -> SqlFile:
    folder, _, stem = name.partition(".")
    return SqlFile(Path(folder) / f"{stem}.sql", name, f"-- {name}: one row a thing.\n{query}\n")


def given(monkeypatch: pytest.MonkeyPatch, *made: SqlFile) -> None:
    monkeypatch.setattr(models, "model_files", lambda: {file.name: file for file in made})


def test_models_are_built_after_those_that_they_read(monkeypatch: pytest.MonkeyPatch) -> None:
    given(
        monkeypatch,
        model("facts.a", "select n from staging.z"),
        model("measures.b", "with a as (select * from facts.a) select * from a inner join staging.z using (n)"),
        model("staging.z", "select 1 as n"),
    )
    with open_store(":memory:") as store:
        make_tables(store)
        assert [file.name for file in build_order(store)] == ["staging.z", "facts.a", "measures.b"]
        assert [file.name for file in build_order(store, ["facts.a"])] == ["staging.z", "facts.a"]
        assert build_models(store) == ["staging.z", "facts.a", "measures.b"]
        assert store.read("measures.b").rows() == [(1,)]


def test_a_model_that_was_a_table_becomes_the_view_that_its_head_asks_for_and_back(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    table = model("facts.a", "select 1 as n")
    view = SqlFile(table.path, table.name, table.text.replace("\n", "\n-- Built as a view: it is short.\n", 1))
    kinds = "select table_type from information_schema.tables where table_name = 'a'"
    with open_store(":memory:") as store:
        make_tables(store)
        for made, kind in ((table, "BASE TABLE"), (view, "VIEW"), (view, "VIEW"), (table, "BASE TABLE")):
            given(monkeypatch, made)
            build_models(store)
            assert store.query(kinds).rows() == [(kind,)]
            assert store.read("facts.a").rows() == [(1,)]


def test_views_can_be_read_by_a_client_that_knows_no_macro(tmp_path: Path) -> None:
    path = tmp_path / "store.duckdb"
    with open_store(path) as store:
        load(store, Season(jobs="| job_no | feet |\n| 1 | 100 |", hours="| job_no | hours |\n| 1 | 2 |"))
        build_models(store, [file.name for file in model_files().values() if file.is_view])
    with duckdb.connect(path, read_only=True) as client:
        for file in model_files().values():
            if file.is_view:
                assert client.execute(f"select count(*) from {file.name}").fetchall()[0][0] > 0, file.name


def test_a_model_for_the_run_alone_is_read_like_any_other_and_never_reaches_the_file(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    passing = model("facts.a", "select 1 as n")
    passing = SqlFile(passing.path, passing.name, passing.text.replace("\n", "\n-- Built for the run alone: b.\n", 1))
    given(monkeypatch, passing, model("facts.b", "select n + 1 as n from facts.a"))
    kinds = "select table_name, table_type from information_schema.tables where table_schema = 'facts' order by all"
    with open_store(tmp_path / "store.duckdb") as store:
        make_tables(store)
        with transaction(store):
            build_models(store)
            assert store.read("facts.a").rows() == [(1,)]
            drop_passing(store)
    with open_store(tmp_path / "store.duckdb", read_only=True) as store:
        assert store.read("facts.b").rows() == [(2,)]
        assert store.query(kinds).rows() == [("b", "BASE TABLE")]


def test_models_that_read_each_other_in_a_circle_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    given(
        monkeypatch,
        model("facts.a", "select * from facts.b"),
        model("facts.b", "select * from facts.c"),
        model("facts.c", "select * from facts.b"),
    )
    with open_store(":memory:") as store, pytest.raises(ModelError, match=r"circle: facts\.b -> facts\.c -> facts\.b"):
        build_order(store)


def test_a_table_that_nothing_makes_is_named_with_its_reader(monkeypatch: pytest.MonkeyPatch) -> None:
    given(monkeypatch, model("facts.a", "select * from records.wreaths"))
    with (
        open_store(":memory:") as store,
        pytest.raises(ModelError, match=r"sql/facts/a\.sql reads records\.wreaths, which nothing in sql/ makes"),
    ):
        build_order(store)


def test_a_model_that_cannot_be_read_or_run_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    with open_store(":memory:") as store:
        make_tables(store)
        given(monkeypatch, model("facts.a", "select from where"))
        with pytest.raises(ModelError, match=r"sql/facts/a\.sql"):
            build_models(store)
        given(monkeypatch, model("facts.a", "select feet / 'one' as ratio from records.jobs where feet = 'x' + 1"))
        with pytest.raises(ModelError, match=r"sql/facts/a\.sql"):
            build_models(store)


def test_what_a_query_reads_is_known_before_its_tables_exist() -> None:
    query = """
        -- not from records.items
        with runs as (select * from records.runs), jobs as (select * from records.jobs)
        select mul_div(a, b, c), a is distinct from runs.feet from runs left join jobs using (season)
        where exists (select 1 from facts.x)
        union all select 1 from staging.y
    """
    assert tables_read(query) == ["facts.x", "records.jobs", "records.runs", "staging.y"]


def in_syntax_tree(node: object) -> set[str]:
    """The tables with a schema that stand in a syntax tree of the database's own."""
    if isinstance(node, list):
        return set().union(*(in_syntax_tree(one) for one in node))
    if not isinstance(node, dict):
        return set()
    own = {f"{node['schema_name']}.{node['table_name']}"} if node.get("type") == "BASE_TABLE" else set()
    return own.union(*(in_syntax_tree(one) for one in node.values()))


def test_what_each_model_reads_is_what_the_database_finds_in_its_syntax_tree() -> None:
    for file in model_files().values():
        tree = json.loads(duckdb.execute("select json_serialize_sql(?::varchar)", [file.text]).fetchall()[0][0])
        assert not tree["error"]
        assert tables_read(file.text) == sorted(name for name in in_syntax_tree(tree) if name[0] != "."), file.name


def test_every_public_table_and_column_has_a_comment() -> None:
    with open_store(":memory:") as store:
        load(store, Season(jobs="| job_no | feet |\n| 1 | 100 |"))
        build_models(store)
        drop_passing(store)
        bare_tables = store.con.execute(
            "select schema_name || '.' || table_name from duckdb_tables() where coalesce(comment, '') = '' order by all"
        ).fetchall()
        bare_columns = store.con.execute(
            """
            select schema_name || '.' || table_name || '.' || column_name
            from duckdb_columns() where not internal and coalesce(comment, '') = '' order by all
            """
        ).fetchall()
    assert bare_tables == []
    assert bare_columns == []


@pytest.mark.parametrize("file", [*table_files(), *model_files().values()], ids=lambda file: file.name)
def test_a_head_comment_says_what_a_row_is(file: SqlFile) -> None:
    about, _ = file.meanings()
    assert about.startswith("one row a"), file.where


@pytest.mark.parametrize("file", list(model_files().values()), ids=lambda file: file.name)
def test_a_model_ends_by_selecting_its_last_step(file: SqlFile) -> None:
    assert file.text.rstrip().endswith("select * from final"), file.where


def test_every_model_of_a_season_of_jobs_alone_is_built_and_every_check_passes() -> None:
    with open_store(":memory:") as store:
        load(store, Season(jobs="| job_no | feet |\n| 1 | 100 |"))
        assert set(build_models(store)) == set(model_files())
        run_checks(store, 2025)


def test_a_check_that_finds_something_stops_the_season_and_names_the_first(monkeypatch: pytest.MonkeyPatch) -> None:
    query = """
        select * from (
            values (2024, 'Oak', 'is not asked about'), (2025, 'Maple', 'has 3 feet too many'), (2025, 'Oak', 'has 1')
        ) as found (season, crew, why)
    """
    check = SqlFile(Path("checks") / "feet_agree.sql", "checks.feet_agree", query)
    monkeypatch.setattr(models, "files_of", lambda folder: [check])
    with (
        open_store(":memory:") as store,
        pytest.raises(ControlDifference, match=r"`feet agree` finds 2\. First: season 2025, crew Maple: has 3 feet"),
    ):
        run_checks(store, 2025)


def test_each_check_says_why() -> None:
    with open_store(":memory:") as store:
        load(store, Season(jobs="| job_no | feet |\n| 1 | 100 |"))
        build_models(store)
        for check in files_of("checks"):
            assert "why" in store.query(check.text).columns, check.where
