"""Text in cells and names is data: never markup in a page, a formula in a workbook or a command to a terminal."""

from __future__ import annotations

import csv
import io
import json
import re
import subprocess
import sys
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path

import openpyxl
import pytest
from support.sheets import grid
from support.small_season import Season, small_season
from support.workbooks import write_xlsx

ROOT = Path(__file__).resolve().parents[2]
FORMULAS = ('=HYPERLINK("http://x.example","y")', "+1+1", "-1+cmd|' /C calc'!A0", "@SUM(1)", "=1+1")
MARKUP = ("<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "&amp;&#60;b>", "{{7*7}}{% x %}")
OTHERS = (r"$\alpha$ \n %s {0}", "'; drop table jobs; --", "مرحبا", "тест 🙂 e\u0301", "[a](http://x.example)")
TEXTS = FORMULAS + MARKUP + OTHERS
NAMES = {
    "Maple": MARKUP[0], "Oak": FORMULAS[0], "north": MARKUP[1], "south": FORMULAS[3], "LL12": "=LL12",
    "LL15": "<B>LL15", "B9WW": "@B9",
}  # fmt: skip
FIRM = '<b onload="x">"Firm" & $1$ =1+1</b>'
UNSEEN = "\u202e\x07{}\u2066\u200b"
"""Signs around a text that must not be heard of again."""


def hostile_season() -> Season:
    """A season whose names and words are all meant to be more than words, and two rows that are refused."""
    season = small_season()
    for rows in season.values():
        for row in rows:
            row.update({name: NAMES[value] for name, value in row.items() if isinstance(value, str) and value in NAMES})
    for table, field in (("items", "colour"), ("items", "supplier"), ("overheads", "what"), ("workers", "role")):
        for place, row in enumerate(season[table]):
            if row[field] is not None:
                row[field] = UNSEEN.format(TEXTS[(place + len(field)) % len(TEXTS)])
    season["settings"] = [row for row in season["settings"] if row["setting"] != "firm"]
    season["settings"].append({"setting": "firm", "value": FIRM})
    season["jobs"].append(season["jobs"][0] | {"job_no": "=9+9", "feet": "=1/0", "crew": "<i>\t=1"})
    season["hours"].append(season["hours"][0] | {"hours": MARKUP[0], "crew": "\x1b[31m@x"})
    return season


def write(season: Mapping[str, list], folder: Path) -> None:
    """Two workbooks and files of CSV under names that are meant to be more than names."""
    grids = {name: grid(name, rows) for name, rows in season.items()}
    sheets = {"<b>": grids.pop("jobs"), "=1+1": grids.pop("runs"), "\u202ea'b": grids.pop("items")}
    write_xlsx(folder / "a<b>\"'&.xlsx", sheets)
    write_xlsx(folder / "=1+1.xlsx", {"..&\u2066": grids.pop("hours")})
    for name, cells in grids.items():
        text = io.StringIO()
        csv.writer(text).writerows([["" if cell is None else cell for cell in row] for row in cells])
        (folder / f"\x1b[2J\n{name}.csv").write_text(text.getvalue(), encoding="utf-8", newline="")
    # A name that is no text in any encoding.
    (folder / "\x1b[2J\nquotes.csv").rename(folder / "q\udcff.csv")


@dataclass(frozen=True)
class Run:
    """What a run printed and where it wrote."""

    stdout: str
    stderr: str
    out: Path

    @property
    def reports(self) -> Path:
        return self.out / "reports" / "2025"


def perfoot(*words: str | Path) -> subprocess.CompletedProcess[str]:
    words = (sys.executable, "-W", "error", "-m", "pipeline.cli", *map(str, words))
    return subprocess.run(words, cwd=ROOT, capture_output=True, encoding="utf-8", check=False)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hostile") / "<s>=1\x1b[0m"
    folder.mkdir()
    write(hostile_season(), folder)
    return folder


@pytest.fixture(scope="module")
def run(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Run:
    out = tmp_path_factory.mktemp("out")
    done = perfoot("close", folder, "--direct", "--out", out)
    assert done.returncode == 0, done.stderr
    return Run(done.stdout, done.stderr, out)


class Page(HTMLParser):
    """The elements, attributes and text of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.addresses: set[str] = set()
        self.texts: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}
        self.addresses |= {str(value) for name, value in attrs if name in ("href", "src", "xlink:href", "action")}

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


@pytest.mark.parametrize("name", ["owner", "manager", "buyer", "intake"])
def test_a_page_holds_text_and_no_markup_of_the_cells(name: str, run: Run) -> None:
    page = Page((run.reports / f"{name}.html").read_text(encoding="utf-8"))
    assert not page.tags & {"script", "img", "iframe", "object", "embed", "form", "link", "base", "b>"}
    assert not [name for name in page.attributes if name.startswith("on")]
    beside = {
        "../index.html",
        "owner.html",
        "manager.html",
        "buyer.html",
        "intake.html",
        "crew-sheet.html",
        "rate-card.html",
    }
    assert not [address for address in page.addresses - beside if not address.startswith("#")]
    assert any(FIRM in text for text in page.texts)
    assert not seen("".join(page.texts))


def test_what_stands_on_the_pages_is_what_stood_in_the_cells(run: Run) -> None:
    shown = "".join("".join(Page(path.read_text(encoding="utf-8")).texts) for path in run.reports.glob("*.html"))
    for text in (NAMES["Maple"], NAMES["Oak"], NAMES["LL12"], NAMES["LL15"], NAMES["north"]):
        assert text in shown


def test_the_figures_hold_the_text_as_it_is(run: Run) -> None:
    figures = json.loads((run.reports / "figures.json").read_text(encoding="utf-8"))
    assert figures["firm"] == FIRM
    assert any(NAMES["Maple"] in json.dumps(figure, ensure_ascii=False) for figure in figures["figures"])
    assert not seen(json.dumps(figures, ensure_ascii=False))


def test_no_workbook_that_is_written_holds_a_formula_or_a_link(run: Run) -> None:
    paths = sorted(run.reports.glob("*.xlsx"))
    assert {"rejects.xlsx", "season.xlsx"} <= {path.name for path in paths}
    for path in paths:
        book = openpyxl.load_workbook(path)
        cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
        kinds = {"s", "n", "d", "b"}
        if path.name == "order.xlsx":
            # Its amounts are formulas of its own, over cells, numbers and its own names alone.
            ours = [cell for cell in cells if cell.data_type == "f"]
            assert all(re.fullmatch(r"=(ROUND|SUM)?[\w().*/+,:]+", cell.value) for cell in ours)
            kinds |= {"f"}
        assert {cell.data_type for cell in cells} <= kinds
        # The list of sheets leads to them, and nowhere else.
        assert not [cell for cell in cells if cell.hyperlink and cell.hyperlink.target]
        if path.name == "rejects.xlsx":
            assert {"=9+9", "=1/0", MARKUP[0]} <= {cell.value for cell in cells}


def seen(text: str) -> list[str]:
    """Signs of a text that steer a terminal or turn the reading round."""
    return [sign for sign in text if sign not in "\n\t" and unicodedata.category(sign) in ("Cc", "Cf", "Cs")]


def test_a_terminal_gets_no_sign_that_steers_it(run: Run, folder: Path, tmp_path: Path) -> None:
    checked = perfoot("check", folder, "--out", tmp_path)
    assert checked.returncode == 0, checked.stderr
    log = (run.out / "perfoot.log").read_text(encoding="utf-8")
    for text in (run.stdout, run.stderr, checked.stdout, checked.stderr, log):
        assert not seen(text)


def test_the_json_that_is_printed_can_be_read(folder: Path, tmp_path: Path) -> None:
    checked = perfoot("check", folder, "--json", "--out", tmp_path)
    assert json.loads(checked.stdout)["outcome"] == "checked"
    refused = perfoot("check", tmp_path / "a\x1b\udcff<b>", "--json", "--out", tmp_path)
    assert refused.returncode == 2
    assert re.search("there is no folder", json.loads(refused.stdout)["message"])
    assert not seen(refused.stderr)
