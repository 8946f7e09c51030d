"""The guide: what every table, field, measure, figure and setting means, from the descriptions that make them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from pipeline.dictionary import bounds, default, describe
from pipeline.documents.columns import COLUMNS
from pipeline.errors import UsageError
from pipeline.settings import Setting, known_settings
from pipeline.vocabulary import Field, Table, tables
from pipeline.warehouse.files import SqlFile, model_files, table_files

Line = tuple[str, str]
"""A term and what is said of it; the term is blank where a sentence stands alone."""

RESULTS = ("measures", "decisions", "audit")
"""Schemas of the store whose tables the reports are made of, and so the guide's."""
NEAR = 3
"""Names suggested for one that is not known."""


@dataclass(frozen=True)
class Entry:
    """What the guide says of one name: `what` it is, and its lines."""

    name: str
    what: str
    about: str
    lines: tuple[Line, ...] = ()


def _field_line(field: Field) -> Line:
    said = [field.text + (f" ({field.unit})" if field.unit and not bounds(field) else "")]
    if field.allowed:
        said.append(f"one of {', '.join(field.allowed)}")
    if bounds(field):
        said.append(bounds(field))
    if default(field):
        said.append(f"blank: {default(field)}")
    return field.heading + (" *" if field.required else ""), "; ".join(said)


def _table_entry(table: Table) -> Entry:
    key = f" No two rows have the same {' and '.join(table.key)}." if table.key else ""
    about = f"One row is {table.row}.{key} A heading with * is needed."
    return Entry(table.name, "sheet of records", about, tuple(_field_line(field) for field in table.fields.values()))


def _field_entry(table: Table, field: Field) -> Entry:
    meaning, *rest = describe(field)
    lines = [("", text) for text in rest]
    if field.also:
        lines.append(("Headings", f"{field.heading}; also {', '.join(field.also)}"))
    words = [(word, f"also {', '.join(also)}") for word, also in (field.words or {}).items() if also]
    return Entry(f"{table.name}.{field.name}", "column of a sheet", meaning, (*lines, *words))


def _grain(file: SqlFile) -> str:
    """The first line of a table's description: what one row of it is."""
    return file.text.splitlines()[0].partition(": ")[2].strip()


def _result_entry(file: SqlFile) -> Entry:
    about, columns = file.meanings()
    rest = about.removeprefix(_grain(file)).strip()
    lines = (f"{_grain(file).rstrip('.').capitalize()}.", rest, f"Computed in {file.where}." if file.is_query else "")
    return Entry(file.name, "table of results", " ".join(filter(None, lines)), tuple(columns.items()))


def _setting_entry(setting: Setting) -> Entry:
    lines = [("Default", setting.default) if setting.default else ("Default", "none: it must be given to count")]
    if setting.source:
        lines.append(("Source", setting.source))
    if setting.keyed:
        lines.append(("Written", f"{setting.name}:{setting.keyed.upper()}, a value for each {setting.keyed}"))
    unit = f" ({setting.unit})" if setting.unit else ""
    return Entry(setting.name, "setting", f"{setting.text}{unit}", tuple(lines))


def _results() -> dict[str, SqlFile]:
    files = (*model_files().values(), *table_files())
    return {file.name: file for schema in RESULTS for file in files if file.name.split(".")[0] == schema}


def contents() -> tuple[Entry, ...]:
    """What the guide knows, by group: sheets, results, settings."""
    sheets = tuple((name, table.row) for name, table in tables().items())
    results = tuple((name.split(".")[1], _grain(file)) for name, file in _results().items())
    settings = tuple((setting.name, setting.text) for setting in known_settings().values())
    return (
        Entry("Sheets", "group", "what the season's spreadsheets hold", sheets),
        Entry("Measures, decisions and audit", "group", "what is computed from them", results),
        Entry("Settings", "group", "what the firm decides, on a sheet of settings", settings),
    )


def _named(name: str) -> list[Entry]:
    """Entries of exactly this name."""
    found = [_table_entry(tables()[name])] if name in tables() else []
    found += [_result_entry(file) for key, file in _results().items() if name in (key, key.split(".")[1])]
    if name in known_settings():
        found.append(_setting_entry(known_settings()[name]))
    return found


def _parts_named(name: str) -> list[Entry]:
    """Columns of this name, wherever they stand: `feet`, `jobs.feet`, `job_cost.total_usd`."""
    owner, _, column = name.rpartition(".")
    found = [
        _field_entry(table, table.fields[column])
        for table in tables().values()
        if column in table.fields and owner in ("", table.name)
    ]
    for key, file in _results().items():
        columns = file.meanings()[1]
        if column in columns and owner in ("", key, key.split(".")[1]):
            found.append(Entry(f"{key}.{column}", "column of results", columns[column]))
    if not owner and column in COLUMNS:
        printed = COLUMNS[column]
        about = f"{printed.definition}; printed as {printed.heading}, in {printed.unit}"
        found.append(Entry(column, "figure of the reports", about))
    return found


def _every_name() -> list[str]:
    names = [*tables(), *known_settings(), *COLUMNS, *(key.split(".")[1] for key in _results())]
    names += [f"{table.name}.{field}" for table in tables().values() for field in table.fields]
    names += [field for table in tables().values() for field in table.fields]
    return sorted(set(names))


def look_up(words: Sequence[str]) -> tuple[Entry, ...]:
    """What the guide says of a name: a sheet, `jobs.feet` or `jobs feet`, a measure, a figure's column, a setting.

    Without words its contents. Raises UsageError, with near names, where nothing has that name.
    """
    if not words:
        return contents()
    folded = [word.casefold().strip().replace(" ", "_").replace("-", "_") for word in words]
    for name in dict.fromkeys(("_".join(folded), ".".join(folded))):
        found = _named(name) or _parts_named(name)
        if found:
            return tuple(found)
    near = get_close_matches("_".join(folded), _every_name(), n=NEAR)
    hint = f"did you mean {' or '.join(near)}?" if near else "perfoot guide alone lists what it knows."
    raise UsageError(f'the guide knows nothing by the name of "{" ".join(words)}"; {hint}')


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _markdown(entry: Entry, terms: str) -> list[str]:
    lines = [f"### {entry.name}", "", entry.about, "", f"| {terms} | |", "| --- | --- |"]
    return [*lines, *(f"| {_cell(term)} | {_cell(text)} |" for term, text in entry.lines), ""]


def dictionary() -> str:
    """The whole data dictionary as Markdown."""
    lines = [
        "# Data dictionary",
        "",
        "Made by `python -m pipeline.documents.guide` from the descriptions that the program itself works by; do not "
        "edit it. `perfoot guide NAME` says more of each name: how to write it, and which other headings are known.",
        "",
        "## Sheets",
        "",
    ]
    for table in tables().values():
        lines += _markdown(_table_entry(table), "Column")
    lines += ["## Measures, decisions and audit", ""]
    for file in _results().values():
        lines += _markdown(_result_entry(file), "Column")
    lines += ["## Settings", "", "| Setting | Meaning | Default | Source |", "| --- | --- | --- | --- |"]
    for setting in known_settings().values():
        shown = (setting.name, setting.text, setting.default or "", setting.source)
        lines.append(f"| {' | '.join(map(_cell, shown))} |")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    print(dictionary(), end="")
