"""The files of sql/: where they are, what each makes, and what its head comment says."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from pipeline.errors import PerfootError

SCHEMAS = ("records", "refused", "reference", "audit", "staging", "facts", "measures", "decisions")
"""The store's schemas. A folder of sql/ with the same name holds what makes its tables."""

_HEAD = re.compile(r"--\s*(?P<name>[a-z_]+\.[a-z_0-9]+):\s*(?P<row>.+)")
_COLUMN = re.compile(r"--\s{2,}(?P<name>[a-z_0-9]+):\s*(?P<text>.+)")


class ModelError(PerfootError):
    """A file of sql/ is wrong: it cannot be read, ordered or run."""


@dataclass(frozen=True)
class SqlFile:
    """A file of sql/: the statement that creates a table, or the query that a table is made of."""

    path: Path
    name: str
    text: str

    @property
    def where(self) -> str:
        """The file as a person finds it."""
        return f"sql/{self.path.parent.name}/{self.path.name}"

    @property
    def is_query(self) -> bool:
        """Whether the file is a model, rather than a statement that creates a table to be written to."""
        code = next((line for line in self.text.splitlines() if line.strip() and not line.startswith("--")), "")
        return not code.lower().startswith("create")

    @property
    def is_view(self) -> bool:
        """Whether the model is a view: its head says so, and why."""
        return any(line.startswith("-- Built as a view:") for line in self.text.splitlines())

    @property
    def is_passing(self) -> bool:
        """Whether the model stands in the store only while a season is closed: its head says so, and why."""
        return any(line.startswith("-- Built for the run alone:") for line in self.text.splitlines())

    def meanings(self) -> tuple[str, dict[str, str]]:
        """What the head comment says of the table and of each column."""
        head: list[str] = []
        columns: dict[str, str] = {}
        last: str | None = None
        in_columns = False
        for line in self.text.splitlines():
            if not line.startswith("--"):
                break
            body = line.removeprefix("--").strip()
            if body == "columns:":
                in_columns = True
            elif not in_columns:
                head.append(body)
            elif found := _COLUMN.fullmatch(line.rstrip()):
                last = found["name"]
                columns[last] = found["text"]
            elif last is not None:
                columns[last] += f" {body}"
        found = _HEAD.match(self.text)
        if found is None or found["name"] != self.name:
            raise ModelError(f"{self.where}: the first line must read `-- {self.name}: one row a ...`.")
        return " ".join(head).removeprefix(f"{self.name}: ").strip(), columns


def described(file: SqlFile) -> str:
    """The statements that put a file's head comment on its table and columns."""
    about, columns = file.meanings()
    texts = [
        (f"{'view' if file.is_view or file.is_passing else 'table'} {file.name}", about),
        *((f"column {file.name}.{name}", text) for name, text in columns.items()),
    ]
    return "".join("comment on {} is '{}';".format(what, text.replace("'", "''")) for what, text in texts)


@cache
def sql_folder() -> Path:
    """sql/ beside the package in a checkout, inside it in an installed copy."""
    package = Path(__file__).resolve().parent.parent
    shipped = package / "_shipped" / "sql"
    return shipped if shipped.is_dir() else package.parent / "sql"


def files_of(folder: str) -> list[SqlFile]:
    """The files of one folder of sql/, by name; empty where there is no such folder."""
    paths = sorted((sql_folder() / folder).glob("*.sql"))
    return [SqlFile(path, f"{folder}.{path.stem}", path.read_text(encoding="utf-8")) for path in paths]


def table_files() -> list[SqlFile]:
    """The files that create tables to be written to."""
    return [file for schema in SCHEMAS for file in files_of(schema) if not file.is_query]


def model_files() -> dict[str, SqlFile]:
    """The models, by the name of the table that each makes."""
    return {file.name: file for schema in SCHEMAS for file in files_of(schema) if file.is_query}
