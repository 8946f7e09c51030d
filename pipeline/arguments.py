"""What a person may type: the commands and their options, which have the same name everywhere."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from pipeline import __version__


def _everywhere() -> argparse.ArgumentParser:
    options = argparse.ArgumentParser(add_help=False)
    options.add_argument("--json", action="store_true", help="print one machine-readable object instead of text")
    options.add_argument("--quiet", action="store_true", help="print nothing but errors")
    return options


def _running() -> argparse.ArgumentParser:
    options = argparse.ArgumentParser(add_help=False)
    options.add_argument("--out", type=Path, metavar="DIR", help="folder for reports, store and log")
    options.add_argument(
        "--store", type=Path, metavar="FILE", help="the DuckDB file (default: perfoot.duckdb in --out)"
    )
    options.add_argument("--direct", action="store_true", help="run the same stages without Prefect")
    return options


def _reading() -> argparse.ArgumentParser:
    options = argparse.ArgumentParser(add_help=False)
    options.add_argument("folder", type=Path, metavar="FOLDER", help="the season's folder of spreadsheets")
    options.add_argument("--season", type=int, metavar="YEAR", help="season, named by the year in which it starts")
    options.add_argument("--branch", metavar="NAME", help="only this branch's records")
    options.add_argument("--strict", action="store_true", help="refuse the season when any row is rejected")
    return options


def _add_trace(commands: Any, everywhere: argparse.ArgumentParser) -> None:
    trace = commands.add_parser(
        "trace",
        parents=[everywhere],
        help="from a figure back to its rows: a job's cost, a worker's week, a crew's hours",
    )
    trace.add_argument(
        "what",
        nargs="+",
        metavar="WHAT",
        help="job 1042; cost gutter; worker W07 2025-11-22; crew Maple; item LL12; price; owner.cost_usd_per_ft",
    )
    trace.add_argument("--season", type=int, metavar="YEAR", help="season (default: the last one in the store)")
    trace.add_argument("--branch", metavar="NAME", help="branch, where several have that number")
    trace.add_argument("--store", type=Path, metavar="FILE", help="the DuckDB file (default: ./perfoot.duckdb)")
    trace.add_argument("--sheet", type=Path, metavar="FILE.xlsx", help="write the lines into a workbook too")


def _add_guide(commands: Any, everywhere: argparse.ArgumentParser) -> None:
    guide = commands.add_parser(
        "guide", parents=[everywhere], help="what a sheet, a column, a measure, a figure or a setting means"
    )
    guide.add_argument("name", nargs="*", metavar="NAME", help="such as: jobs, jobs feet, job_cost, target_margin")


def _add_blank(commands: Any, everywhere: argparse.ArgumentParser) -> None:
    blank = commands.add_parser(
        "blank", parents=[everywhere], help="write an empty season workbook with drop-downs and notes, to fill in"
    )
    blank.add_argument("file", type=Path, metavar="FILE.xlsx", help="the workbook to write; it must not be there yet")


def _positive_feet(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not 0 < value < float("inf"):
        raise argparse.ArgumentTypeError(f"{text} is not a length in feet above 0")
    return value


def _add_cut(commands: Any, everywhere: argparse.ArgumentParser) -> None:
    cut = commands.add_parser(
        "cut",
        parents=[everywhere],
        help="a cut list for any lengths and spool sizes, with its waste and a proven bound",
    )
    cut.add_argument(
        "file", type=Path, metavar="FILE", help="a spreadsheet with Length and Count, Spool size and Price"
    )
    cut.add_argument(
        "--spool", action="append", default=[], metavar="SIZE=PRICE",
        help="a spool's feet and price in place of those in the file; may be given several times",
    )  # fmt: skip
    cut.add_argument(
        "--keep", type=_positive_feet, metavar="FEET", help="length from which a rest is kept (default: 10)"
    )
    cut.add_argument("--out", type=Path, metavar="FILE.xlsx", help="write the cut list into a workbook too")


def command_parser() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    parser = argparse.ArgumentParser(
        prog="perfoot",
        description="What a season of rooflines really cost, and what to charge, whom to train and what to buy next.",
        epilog="Exit codes: 0 done; 2 wrong usage; 3 too much was rejected; 4 the store is in use; "
        "5 a control total does not agree; 1 anything else.",
    )
    parser.add_argument("--version", action="version", version=f"perfoot {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    everywhere, running, reading = _everywhere(), _running(), _reading()
    commands.add_parser(
        "demo", parents=[everywhere, running], help="close an invented firm's three seasons into ./perfoot-demo"
    )
    commands.add_parser(
        "close", parents=[everywhere, running, reading], help="the main job: read, check, load, compute, report"
    )
    check = commands.add_parser(
        "check", parents=[everywhere, reading], help="read and check only; writes the intake report"
    )
    check.add_argument("--out", type=Path, metavar="DIR", help="folder for the intake report")
    for add in (_add_blank, _add_cut, _add_trace, _add_guide):
        add(commands, everywhere)
    return parser
