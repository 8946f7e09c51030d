"""The command line: what a person types, sees and gets back as an exit code."""

from __future__ import annotations

import argparse
import json
import logging
import signal
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

from pipeline import __version__
from pipeline.errors import PerfootError, UsageError

if TYPE_CHECKING:
    from pipeline.flows.close import Closed
    from pipeline.flows.stages import Request

DEMO_SEASONS = (2023, 2024, 2025)
LOG_NAME = "perfoot.log"


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
    blank.add_argument("file", type=Path, metavar="FILE.xlsx", help="the workbook to write; it must not be there yet")
    return parser


class _Screen:
    """What is shown while the work goes on. Progress goes to standard error, results to standard output."""

    def __init__(self, *, as_json: bool, quiet: bool) -> None:
        self.as_json = as_json
        self.quiet = quiet
        self.log = logging.getLogger("perfoot")

    def say(self, stage: str, sentence: str, seconds: float) -> None:
        self.log.info("%s: %s (%.2f s)", stage, sentence, seconds)
        if not (self.quiet or self.as_json):
            print(f"  {stage:<30} {sentence}", file=sys.stderr, flush=True)

    def notice(self, sentence: str) -> None:
        self.log.warning("%s", sentence)
        if not self.as_json:
            print(sentence, file=sys.stderr, flush=True)

    def show(self, text: str) -> None:
        if not (self.quiet or self.as_json):
            print(text, flush=True)

    def show_json(self, value: object) -> None:
        if self.as_json:
            print(json.dumps(value, indent=2, default=str), flush=True)


def _start_log(out: Path) -> Path:
    try:
        out.mkdir(parents=True, exist_ok=True)
        handler = logging.FileHandler(out / LOG_NAME, encoding="utf-8")
    except OSError as error:
        raise UsageError(f"cannot write into {out}: {error.strerror}; name another folder with --out.") from None
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s %(message)s"))
    _end_log()
    logger = logging.getLogger("perfoot")
    logger.handlers = [handler]
    logger.setLevel(logging.INFO)
    logger.propagate = False
    return out / LOG_NAME


def _end_log() -> None:
    logger = logging.getLogger("perfoot")
    for handler in logger.handlers:
        handler.close()
    logger.handlers = []


def _requests(args: argparse.Namespace, out: Path) -> list[Request]:
    from pipeline.flows.stages import Request, demo_folder

    store = getattr(args, "store", None) or out / "perfoot.duckdb"
    if args.command == "demo":
        return [Request(demo_folder() / str(season), out, store, season) for season in DEMO_SEASONS]
    return [Request(args.folder, out, store, args.season, args.branch, args.strict)]


def _summary(closed: Closed) -> str:
    from pipeline.flows.reports import summary

    return summary(closed.hand.documents, closed.written)


def _close(args: argparse.Namespace, out: Path, screen: _Screen) -> None:
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


def _check(args: argparse.Namespace, out: Path, screen: _Screen) -> None:
    from pipeline.flows.close import check_only

    hand, result = check_only(_requests(args, out)[0])
    screen.say("intake", result.sentence, 0.0)
    from pipeline.flows.reports import summary

    screen.show(summary(hand.documents, hand.written))
    files = {name: str(path) for name, path in hand.written.items()}
    screen.show_json({"outcome": "checked", "season": hand.season, "said": result.sentence, "files": files})


def _blank(args: argparse.Namespace, screen: _Screen) -> None:
    from pipeline.workbook.blank import write_blank

    path = write_blank(args.file)
    screen.show(f"{path} is ready to be filled in; its first sheet says how. Keep it in the season's own folder.")
    screen.show_json({"outcome": "written", "file": str(path)})


def _leave(signal_number: int, _frame: FrameType | None) -> None:
    raise SystemExit(128 + signal_number)


def main(words: Sequence[str] | None = None) -> int:
    """Run one command; returns its exit code."""
    args = _parser().parse_args(words)
    signal.signal(signal.SIGTERM, _leave)
    screen = _Screen(as_json=args.json, quiet=args.quiet)
    out = getattr(args, "out", None) or Path("perfoot-demo" if args.command == "demo" else ".")
    log: Path | None = None
    try:
        if args.command == "blank":
            # There is no folder of its own in which a log could stand.
            screen.log.handlers = [logging.NullHandler()]
            _blank(args, screen)
            return 0
        log = _start_log(out)
        screen.log.info("perfoot %s %s", __version__, args.command)
        (_check if args.command == "check" else _close)(args, out, screen)
    except PerfootError as error:
        return _fail(screen, str(error), error.exit_code)
    except KeyboardInterrupt:
        return _fail(screen, "Stopped. The store is as it was before the season that was being closed.", 1)
    except Exception:
        screen.log.exception("unexpected")
        where = f" The log says more: {log}" if log else ""
        return _fail(screen, f"Something went wrong that should not have; the store is as it was.{where}", 1)
    finally:
        _end_log()
    return 0


def _fail(screen: _Screen, sentence: str, code: int) -> int:
    screen.log.error("%s", sentence)
    screen.show_json({"outcome": "failed", "exit_code": code, "message": sentence})
    print(sentence, file=sys.stderr)
    return code


if __name__ == "__main__":
    sys.exit(main())
