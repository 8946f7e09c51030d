"""How long a season's reports take: documents, charts, pages, papers, season.xlsx and figures.json of the demo.

python -m tests.bench.reports [OUT.json]

The demo is closed first, which also imports all that is needed. Wall and processor seconds of this process by step,
the median of five rounds in which every chart is drawn anew, and the size of each page. Prints them; OUT keeps them.
"""

from __future__ import annotations

import json
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

from pipeline import __version__
from pipeline.documents import build_documents
from pipeline.documents.model import Chart
from pipeline.documents.results import Results
from pipeline.flows import reports
from pipeline.flows.close import close_directly
from pipeline.flows.stages import Request, SeasonInHand, demo_folder
from pipeline.render import SeasonBook, html_of, pdf_of, write_figures, write_season_workbook
from pipeline.render.charts import draw

SEASONS = (2023, 2024, 2025)
ROUNDS = 5
LARGEST_PAGE_BYTES = 1_500_000


def closed_demo(out: Path) -> tuple[Results, SeasonBook]:
    """What the reports of the demo's last season are made from, all three seasons closed."""
    kept: dict[str, Any] = {}

    def keeping(name: str) -> Callable[..., Any]:
        own = getattr(reports, name)

        def keep(*given: Any) -> Any:
            kept[name] = own(*given)
            return kept[name]

        return keep

    reports.results_of, reports.season_book = keeping("results_of"), keeping("season_book")
    for season in SEASONS:
        request = Request(demo_folder() / str(season), out, out / "perfoot.duckdb", season)
        close_directly(SeasonInHand(request), lambda *said: None)
    return kept["results_of"], kept["season_book"]


def one_round(
    results: Results, book: SeasonBook, folder: Path
) -> tuple[dict[str, tuple[float, float]], dict[str, int]]:
    """Wall and processor seconds of each step, and the bytes of each file."""
    draw.cache_clear()
    took: dict[str, tuple[float, float]] = {}

    def timed(step: str, work: Callable[[], Any]) -> Any:
        wall, own = time.perf_counter(), time.process_time()
        value = work()
        took[step] = (time.perf_counter() - wall, time.process_time() - own)
        return value

    documents = timed("documents", lambda: build_documents(results))
    charts = [block for document in documents for block in document.blocks if isinstance(block, Chart)]
    timed("charts", lambda: [draw(chart) for chart in charts])
    pages = timed("pages", lambda: {f"{one.name}.html": html_of(one).encode() for one in documents})
    papers = timed("papers", lambda: {f"{one.name}.pdf": pdf_of(one) for one in documents})
    timed("season.xlsx", lambda: write_season_workbook(book, folder / "season.xlsx"))
    timed("figures.json", lambda: write_figures(documents, folder / "figures.json"))
    sizes = {name: len(content) for name, content in (pages | papers).items()}
    sizes |= {name: (folder / name).stat().st_size for name in ("season.xlsx", "figures.json")}
    return took, sizes | {"charts": len(set(charts))}


def main(out: str | None = None) -> int:
    """Time the reports; ends with 1 where a page is larger than it may be."""
    with tempfile.TemporaryDirectory() as folder:
        results, book = closed_demo(Path(folder))
        rounds = [one_round(results, book, Path(folder)) for _ in range(ROUNDS)]
    steps = {
        step: [round(statistics.median(took[step][kind] for took, _ in rounds), 3) for kind in (0, 1)]
        for step in rounds[0][0]
    }
    whole = [
        round(statistics.median(sum(took[step][kind] for step in took) for took, _ in rounds), 3) for kind in (0, 1)
    ]
    sizes = rounds[0][1]
    kept = {
        "date": date.today().isoformat(), "version": __version__, "charts": sizes.pop("charts"),
        "seconds (wall, processor)": steps | {"all": whole}, "bytes": sizes,
    }  # fmt: skip
    text = json.dumps(kept, indent=1) + "\n"
    if out:
        Path(out).write_text(text, encoding="utf-8")
    sys.stdout.write(text)
    return int(any(size > LARGEST_PAGE_BYTES for name, size in sizes.items() if name.endswith((".html", ".pdf"))))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
