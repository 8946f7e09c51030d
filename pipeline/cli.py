"""The command line: what a person types, sees and gets back as an exit code."""

from __future__ import annotations

import argparse
import logging
import signal
import sys
import time
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Any

from pipeline import __version__
from pipeline.errors import PerfootError
from pipeline.screen import LOG_NAME, Screen, end_log, keep_no_log, leave_closed_pipe, start_log

if TYPE_CHECKING:
    from pipeline.flows.close import Closed
    from pipeline.flows.stages import Request

DEMO_SEASONS = (2023, 2024, 2025)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="perfoot",
        description="What a season of rooflines really cost, and what to charge, whom to train and what to buy next.",
        epilog="Exit codes: 0 done; 2 wrong usage; 3 too much was rejected; 4 the store is in use; "
        "5 a control total does not agree; 1 anything else.",
    )
    parser.add_argument("--version", action="version", version=f"perfoot {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    everywhere = argparse.ArgumentParser(add_help=False)
    everywhere.add_argument("--json", action="store_true", help="print one machine-readable object instead of text")
    everywhere.add_argument("--quiet", action="store_true", help="print nothing but errors")

    running = argparse.ArgumentParser(add_help=False)
    running.add_argument("--out", type=Path, metavar="DIR", help="folder for reports, store and log")
    running.add_argument(
        "--store", type=Path, metavar="FILE", help="the DuckDB file (default: perfoot.duckdb in --out)"
    )
    running.add_argument("--direct", action="store_true", help="run the same stages without Prefect")

    reading = argparse.ArgumentParser(add_help=False)
    reading.add_argument("folder", type=Path, metavar="FOLDER", help="the season's folder of spreadsheets")
    reading.add_argument("--season", type=int, metavar="YEAR", help="season, named by the year in which it starts")
    reading.add_argument("--branch", metavar="NAME", help="only this branch's records")
    reading.add_argument("--strict", action="store_true", help="refuse the season when any row is rejected")

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
    blank = commands.add_parser(
        "blank", parents=[everywhere], help="write an empty season workbook with drop-downs and notes, to fill in"
    )
    trace = commands.add_parser(
        "trace",
        parents=[everywhere],
        help="from a figure back to its rows: a job's cost, a worker's week, a crew's hours",
    )
    trace.add_argument(
        "what", nargs="+", metavar="WHAT", help="job 1042; cost gutter; worker W07 2025-11-22; crew Maple"
    )
    trace.add_argument("--season", type=int, metavar="YEAR", help="season (default: the last one in the store)")
    trace.add_argument("--branch", metavar="NAME", help="branch, where several have that number")
    trace.add_argument("--store", type=Path, metavar="FILE", help="the DuckDB file (default: ./perfoot.duckdb)")
    trace.add_argument("--sheet", type=Path, metavar="FILE.xlsx", help="write the lines into a workbook too")
    guide = commands.add_parser(
        "guide", parents=[everywhere], help="what a sheet, a column, a measure, a figure or a setting means"
    )
    guide.add_argument("name", nargs="*", metavar="NAME", help="such as: jobs, jobs feet, job_cost, target_margin")
    blank.add_argument("file", type=Path, metavar="FILE.xlsx", help="the workbook to write; it must not be there yet")
    return parser


def _requests(args: argparse.Namespace, out: Path) -> list[Request]:
    from pipeline.flows.stages import Request, demo_folder

    store = getattr(args, "store", None) or out / "perfoot.duckdb"
    if args.command == "demo":
        return [Request(demo_folder() / str(season), out, store, season) for season in DEMO_SEASONS]
    return [Request(args.folder, out, store, args.season, args.branch, args.strict)]


def _summary(closed: Closed) -> str:
    from pipeline.flows.reports import summary

    return summary(closed.hand.documents, closed.written)


def _close(args: argparse.Namespace, out: Path, screen: Screen) -> None:
    from pipeline.flows.run import close_seasons

    started = time.monotonic()
    seasons = []
    for closed in close_seasons(_requests(args, out), screen.say, screen.notice, direct=args.direct):
        screen.show(_summary(closed))
        seasons.append(
            {
                "season": closed.season,
                "said": closed.said,
                "files": {name: str(path) for name, path in closed.written.items()},
            }
        )
    screen.show_json({"outcome": "closed", "seasons": seasons, "store": str(_requests(args, out)[0].store)})
    logging.getLogger("perfoot").info("done in %.1f s", time.monotonic() - started)


FEWEST_MESSAGES = 5
"""Lines for messages on a screen that has no room for them."""


def _messages(findings: Sequence[Mapping[str, Any]], screen: Screen, beside: str) -> list[str]:
    """Findings by kind in the lines that a screen has left; `beside` is what else stands on it."""
    from pipeline.documents.terminal import message_lines

    most = max(screen.lines_left(beside), FEWEST_MESSAGES)
    return message_lines([dict(finding) for finding in findings], width=screen.width, most=most)


def _check(args: argparse.Namespace, out: Path, screen: Screen) -> None:
    from pipeline.flows.close import check_only
    from pipeline.flows.reports import intake_json, summary

    hand, result = check_only(_requests(args, out)[0])
    assert hand.checked is not None
    findings = hand.checked.findings.to_dicts()
    screen.say("intake", result.sentence, 0.0)
    said = summary(hand.documents, hand.written)
    screen.show("\n".join([said, *_messages(findings, screen, f"{screen.stage('intake', result.sentence)}\n{said}")]))
    screen.show_json(
        intake_json(hand.checked.intake.to_dicts(), findings)
        | {
            "outcome": "checked",
            "season": hand.season,
            "said": result.sentence,
            "files": {name: str(path) for name, path in hand.written.items()},
        }
    )


def _guide(args: argparse.Namespace, screen: Screen) -> None:
    from pipeline.documents.guide import look_up
    from pipeline.documents.terminal import guide_lines

    entries = look_up(args.name)
    screen.show("\n".join(guide_lines(entries, width=screen.width)))
    screen.show_json([asdict(entry) for entry in entries])


def _blank(args: argparse.Namespace, screen: Screen) -> None:
    from pipeline.workbook.blank import write_blank

    path = write_blank(args.file)
    screen.show(f"{path} is ready to be filled in; its first sheet says how. Keep it in the season's own folder.")
    screen.show_json({"outcome": "written", "file": str(path)})


def _leave(signal_number: int, _frame: FrameType | None) -> None:
    raise SystemExit(128 + signal_number)


def _trace(args: argparse.Namespace, screen: Screen) -> None:
    from pipeline.documents.terminal import trace_lines
    from pipeline.flows.trace import trace, write_sheet

    traced = trace(args.store or Path("perfoot.duckdb"), args.what, args.season, args.branch)
    if args.sheet is not None:
        write_sheet(traced, args.sheet)
    screen.show("\n".join(trace_lines(traced, width=screen.width)))
    screen.show_json(asdict(traced) | {"sum": traced.sum})


WITHOUT_A_FOLDER = {"blank": _blank, "guide": _guide, "trace": _trace}
"""Commands that have no folder of their own for reports and a log."""


def _run(args: argparse.Namespace, out: Path, screen: Screen) -> None:
    if args.command in WITHOUT_A_FOLDER:
        keep_no_log()
        WITHOUT_A_FOLDER[args.command](args, screen)
        return
    start_log(out)
    screen.log.info("perfoot %s %s", __version__, args.command)
    (_check if args.command == "check" else _close)(args, out, screen)


def _refused(error: PerfootError, screen: Screen) -> int:
    """Say why, and, where a season was read, what there is to mend in it."""
    from pipeline.flows.reports import intake_json

    read = intake_json(error.sheets, error.findings) if error.sheets else {}
    screen.show_json(read | {"outcome": "failed", "exit_code": error.exit_code, "message": str(error)})
    screen.fail(str(error), _messages(error.findings, screen, str(error)) if error.findings else ())
    return error.exit_code


def _failed(sentence: str, screen: Screen) -> int:
    screen.show_json({"outcome": "failed", "exit_code": 1, "message": sentence})
    screen.fail(sentence)
    return 1


def main(words: Sequence[str] | None = None) -> int:
    """Run one command; returns its exit code."""
    args = _parser().parse_args(words)
    signal.signal(signal.SIGTERM, _leave)
    screen = Screen(as_json=args.json, quiet=args.quiet)
    out = getattr(args, "out", None) or Path("perfoot-demo" if args.command == "demo" else ".")
    try:
        _run(args, out, screen)
    except PerfootError as error:
        return _refused(error, screen)
    except BrokenPipeError:
        leave_closed_pipe()
    except KeyboardInterrupt:
        return _failed("Stopped. The store is as it was before the season that was being closed.", screen)
    except Exception:
        screen.log.exception("unexpected")
        log = out / LOG_NAME
        where = f" The log says more: {log}" if log.is_file() else ""
        return _failed(f"Something went wrong that should not have; the store is as it was.{where}", screen)
    finally:
        end_log()
    return 0


if __name__ == "__main__":
    sys.exit(main())
