"""order.xlsx recalculated by LibreOffice: what its formulas come to against the amounts that we wrote, to the cent.

python -m tests.bench.order_in_libreoffice ORDER.xlsx > tests/bench/order_in_libreoffice.json
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import zipfile
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import openpyxl

from pipeline import __version__

KEPT_VALUE = re.compile(rb"(</f>)<v>[^<]*</v>")


def without_values(source: Path, target: Path) -> None:
    """A copy without the values kept beside the formulas, so that none can be read in place of a new one."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for entry in old.infolist():
            new.writestr(entry, KEPT_VALUE.sub(rb"\1", old.read(entry)))


def recalculated(path: Path, folder: Path) -> Path:
    bare = folder / "bare.xlsx"
    without_values(path, bare)
    words = ["soffice", f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless"]
    subprocess.run([*words, "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(folder / "out"), str(bare)],
                   check=True, capture_output=True)  # fmt: skip
    return folder / "out" / "bare.xlsx"


def main(path: Path) -> None:
    with TemporaryDirectory() as temporary:
        formulas = openpyxl.load_workbook(path)
        ours = openpyxl.load_workbook(path, data_only=True)
        theirs = openpyxl.load_workbook(recalculated(path, Path(temporary)), data_only=True)
        compared, different = 0, []
        for sheet in formulas:
            for row in sheet.iter_rows():
                for cell in row:
                    if cell.data_type != "f":
                        continue
                    compared += 1
                    one, other = (book[sheet.title][cell.coordinate].value for book in (ours, theirs))
                    if other is None or round(one, 2) != round(other, 2):
                        different.append(f"{sheet.title}!{cell.coordinate}: {one} against {other}")
        names = {name: formulas.defined_names[name].attr_text for name in ("order_total",)}
        sheet, cell = names["order_total"].replace("$", "").split("!")
        version = subprocess.run(["soffice", "--version"], check=True, capture_output=True, text=True).stdout.split()[
            :2
        ]
        about = {"date": str(date.today()), "version": __version__, "program": " ".join(version)}
        print(json.dumps(about | {"formulas": compared, "different": different,
                                  "order_total_usd": theirs[sheet][cell].value}, indent=1))  # fmt: skip
    sys.exit(bool(different))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
