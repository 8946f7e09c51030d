"""Type typed.toml into the blank workbook with LibreOffice, as a person does, and save it: how the fixtures were made.

    perfoot blank blank.xlsx
    python3 tests/outside/blank/fill.py blank.xlsx tests/outside/blank/filled.xlsx

Needs LibreOffice with its Python bridge (`uno`), in the Python that has it. No test runs this: they read what it wrote.
Each cell goes through the program's own command for typed text, so that the program decides what is a number, a date,
a time or text, by the formats of the blank workbook. The example stays where it is, but for one sheet, where the first
record is typed over it.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
import tomllib
from pathlib import Path
from typing import Any

import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.connection import NoConnectException

HERE = Path(__file__).parent
PIPE = "perfoot-fill"
TYPED_OVER = "Trips"
"""The sheet on which the example is typed over."""
FILTERS = {".xlsx": "Calc MS Excel 2007 XML", ".ods": "calc8"}


def value(name: str, given: object) -> PropertyValue:
    """A named argument."""
    made = PropertyValue()
    made.Name, made.Value = name, given
    return made


def connect(context: Any) -> Any:
    """The running program's context, as soon as it answers."""
    resolver = context.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", context)
    for _ in range(120):
        try:
            return resolver.resolve(f"uno:pipe,name={PIPE};urp;StarOffice.ComponentContext")
        except NoConnectException:
            time.sleep(0.5)
    raise SystemExit("LibreOffice does not answer")


def type_rows(document: Any, dispatcher: Any, title: str, rows: list[dict[str, str]]) -> None:
    """Type a sheet's rows under its headings."""
    frame = document.CurrentController.Frame
    sheet = document.Sheets.getByName(title)
    headings = [sheet.getCellByPosition(column, 0).String for column in range(40)]
    first = 2 if title == TYPED_OVER else 3
    for at, row in enumerate(rows, first):
        for field, text in row.items():
            own = field.replace("_", " ").capitalize()
            (column,) = [place for place, words in enumerate(headings) if words.split(" [")[0].rstrip("* \xa0") == own]
            where = sheet.getCellByPosition(column, at - 1).AbsoluteName
            dispatcher.executeDispatch(frame, ".uno:GoToCell", "", 0, (value("ToPoint", where),))
            dispatcher.executeDispatch(frame, ".uno:EnterString", "", 0, (value("StringName", text),))


def fill(blank: Path, targets: list[Path]) -> None:
    """Open the blank workbook, type the season, save it under each name."""
    with tempfile.TemporaryDirectory() as home:
        words = ["soffice", "--headless", "--norestore", f"-env:UserInstallation=file://{home}"]
        with subprocess.Popen([*words, f"--accept=pipe,name={PIPE};urp;"]) as office:
            context = connect(uno.getComponentContext())
            make = context.ServiceManager.createInstanceWithContext
            desktop = make("com.sun.star.frame.Desktop", context)
            dispatcher = make("com.sun.star.frame.DispatchHelper", context)
            document = desktop.loadComponentFromURL(blank.resolve().as_uri(), "_blank", 0, ())
            for table, rows in tomllib.loads((HERE / "typed.toml").read_text(encoding="utf-8")).items():
                type_rows(document, dispatcher, table.replace("_", " ").capitalize(), rows)
            for target in targets:
                document.storeToURL(target.resolve().as_uri(), (value("FilterName", FILTERS[target.suffix]),))
            document.close(True)
            desktop.terminate()
            office.wait(60)


if __name__ == "__main__":
    fill(Path(sys.argv[1]), [Path(name) for name in sys.argv[2:]])
