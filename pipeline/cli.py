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
from pipeline.arguments import command_parser
from pipeline.errors import PerfootError
from pipeline.screen import LOG_NAME, Screen, end_log, keep_no_log, leave_closed_pipe, start_log

if TYPE_CHECKING:
    from pipeline.flows.close import Closed
    from pipeline.flows.stages import Request

DEMO_SEASONS = (2023, 2024, 2025)


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


def _cut(args: argparse.Namespace, screen: Screen) -> None:
    from pipeline.decisions.policy import LEAST_REMNANT_FT
    from pipeline.documents.cut_list import cut_list_json, cut_list_lines
    from pipeline.flows.cut import cut, write_sheet

    lines = cut(args.file, args.spool, keep_ft=args.keep or LEAST_REMNANT_FT)
    if args.out is not None:
        write_sheet(lines, args.out)
    screen.show("\n".join(cut_list_lines(lines)))
    screen.show_json({"outcome": "cut", "lines": cut_list_json(lines)})


WITHOUT_A_FOLDER = {"blank": _blank, "cut": _cut, "guide": _guide, "trace": _trace}
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
    args = command_parser().parse_args(words)
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
