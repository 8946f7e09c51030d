"""The records' tables as SQL, made from the vocabulary: `python -m pipeline.warehouse.ddl` writes sql/records/."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from textwrap import wrap

from pipeline.vocabulary import Field, Table, tables

_EXTRA = {
    "season": ("integer", "year in which the season starts"),
    "branch": ("varchar", "branch; blank means all branches"),
    "source_file": ("varchar", "file that the row was read from, within the season's folder"),
    "source_sheet": ("varchar", "sheet that the row was read from; empty for a CSV file"),
    "source_row": ("integer", "row of the sheet, counted from 1 as a person sees it"),
    "place": ("varchar", "rejected, or held because its job was rejected or is missing"),
    "why": ("varchar", "every reason why the row was not accepted"),
    "branch_set": (
        "varchar",
        "branches that were closed together with the row, sorted, joined by +; many are cut short",
    ),
}
_LONGEST_LIST = 60
_LAST_DAY_BEFORE_ALL = "date '0001-01-01'"


def column_names(table: Table, *, refused: bool = False) -> list[str]:
    """The columns of a table of records in the store, in order."""
    fields = [name for name in table.fields if name != "branch"]
    ends = ["place", "why"] if refused else []
    return ["season", "branch", *fields, "source_file", "source_sheet", "source_row", *ends, "branch_set"]


def _type(field: Field) -> str:
    return field.sql_type.lower()


def _always_has_branch(table: Table) -> bool:
    """A job has a branch, and a row that must name its job has that job's."""
    return table.name == "jobs" or ("job_no" in table.required and "branch" in table.fields)


def _always_filled(table: Table, name: str) -> bool:
    field = table.fields[name]
    if name == "branch":
        return _always_has_branch(table)
    return field.required or field.default is not None


def _number(value: Decimal) -> str:
    return format(value, "f")


def _checks(field: Field) -> list[str]:
    out = []
    if field.allowed:
        words = ", ".join(f"'{word}'" for word in field.allowed)
        inside = f"{field.name} in ({words})"
        if len(inside) > 96:
            lines = wrap(words, 96, break_long_words=False, break_on_hyphens=False)
            inside = "\n        ".join([f"{field.name} in (", *(f"    {line}" for line in lines), ")"])
            out.append(f"    check (\n        {inside}\n    )")
        else:
            out.append(f"    check ({inside})")
    if field.above is not None:
        out.append(f"    check ({field.name} > {_number(field.above)})")
    if field.min is not None:
        out.append(f"    check ({field.name} >= {_number(field.min)})")
    if field.max is not None:
        out.append(f"    check ({field.name} <= {_number(field.max)})")
    return out


def _key(table: Table) -> list[str]:
    if not table.key:
        return []
    named = [] if "branch" in table.key and _always_has_branch(table) else ["branch_set"]
    return ["season", *named, *table.key]


def _filled(table: Table, name: str) -> str:
    """A key's column as its index sees it: a blank counts as a value, since two blanks are one key."""
    if name not in table.fields or _always_filled(table, name):
        return name
    other = _LAST_DAY_BEFORE_ALL if table.fields[name].kind == "date" else "''"
    return f"coalesce({name}, {other})"


def _meaning(field: Field) -> str:
    unit = "" if field.unit is None else f"; unit: {field.unit}"
    words = f"; one of {', '.join(field.allowed)}" if field.allowed else ""
    otherwise = field.default_text or field.default
    filled = f"; where not given: {otherwise}" if otherwise else ""
    # The words of a long list stand in the table's check; a comment is one line.
    return f"{field.text}{unit}{words if len(words) <= _LONGEST_LIST else ''}{filled}"


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def _comments(schema: str, table: Table, columns: list[str]) -> list[str]:
    full = f"{schema}.{table.name}"
    out = []
    for name in columns:
        text = _meaning(table.fields[name]) if name in table.fields else _EXTRA[name][1]
        out.append(f"comment on column {full}.{name} is\n{_quoted(text)};")
    return out


def _column(table: Table, name: str, *, free: bool) -> str:
    field = table.fields.get(name)
    kind = _type(field) if field else _EXTRA[name][0]
    needed = name in ("season", "source_file", "source_sheet", "source_row", "branch_set", "place", "why")
    if field and not free:
        needed = _always_filled(table, name)
    return f"    {name} {kind}{' not null' if needed else ''}"


def _create(schema: str, table: Table, columns: list[str], *, free: bool) -> tuple[list[str], list[str]]:
    body = [_column(table, name, free=free) for name in columns]
    after: list[str] = []
    if not free:
        for field in table.fields.values():
            body += _checks(field)
        key = _key(table)
        filled = [_filled(table, name) for name in key]
        if key and filled == key:
            body.append(f"    unique ({', '.join(key)})")
        elif key:
            after = [
                f"create unique index if not exists {table.name}_key\non {schema}.{table.name} ({', '.join(filled)});"
            ]
    return [f"create table if not exists {schema}.{table.name} (\n" + ",\n".join(body) + "\n);"], after


def _grain(table: Table) -> str:
    what = table.row if table.row.startswith(("a ", "an ")) else f"a record of {table.row}"
    return f"one row {what}"


def record_ddl(table: Table) -> str:
    """A table of accepted records, and its twin for the rows that were not accepted."""
    columns, twin = column_names(table), column_names(table, refused=True)
    made, index = _create("records", table, columns, free=False)
    made_twin, _ = _create("refused", table, twin, free=True)
    parts = [
        f"-- records.{table.name}: {_grain(table)}, accepted.",
        "-- Made from pipeline/vocabulary.toml by `python -m pipeline.warehouse.ddl`; change it there.",
        *made,
        *index,
        *_comments("records", table, columns),
        *made_twin,
        f"comment on table refused.{table.name} is\n{_quoted(f'{_grain(table)}, rejected or held')};",
        *_comments("refused", table, twin),
    ]
    return "\n\n".join(parts) + "\n"


def write_record_ddl(folder: Path) -> list[Path]:
    """Write one file a table into a folder; returns the files."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for table in tables().values():
        path = folder / f"{table.name}.sql"
        path.write_text(record_ddl(table), encoding="utf-8")
        written.append(path)
    return written


if __name__ == "__main__":
    from pipeline.warehouse.files import sql_folder

    write_record_ddl(sql_folder() / "records")
