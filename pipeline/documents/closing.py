"""The end of every report: how it was computed, cautions, and what is missing."""

from __future__ import annotations

from pipeline.documents.build import missing, note, row, table
from pipeline.documents.columns import prose, words
from pipeline.documents.model import Block, Note, Section, Source
from pipeline.documents.results import Results
from pipeline.documents.wording import LEVELS, NEXT_LEVEL, SETTING_EFFECTS


def closing_section(
    results: Results, document: str, methods: tuple[str, ...], cautions: tuple[str, ...], gaps: tuple[Note, ...] = ()
) -> Section:
    """Cautions, method, gaps, the settings not given that matter here, and what the next level of records adds."""
    blocks = (
        *(note(text, "caution") for text in cautions),
        *(note(text, "method") for text in methods),
        *gaps,
        *level_notes(results),
        *missing_settings(results, document),
    )
    return Section("method", "How this was computed, and what is missing", blocks)


def missing_settings(results: Results, document: str) -> tuple[Block, ...]:
    """The settings that were not given and matter to a document, each with what follows from it."""
    effects = SETTING_EFFECTS.get(document, {})
    met = ("season_spread",) if len(results.rows("all:measures.season_cost", branch="all")) > 1 else ()
    absent = [
        {"setting": name, "effect": effects[name]}
        for name in results.settings.missing()
        if name in effects and name not in met
    ]
    if not absent:
        return ()
    columns = (words("setting", "Setting not given"), prose("effect", "What follows"))
    source = Source("reference.settings", f"season={results.season}")
    rows = [row(record, columns, record["setting"], source) for record in absent]
    return (table("missing_settings", "Settings that would make the figures better", columns, rows),)


def level_notes(results: Results) -> tuple[Note, ...]:
    """Which level the records reach, and what the next one would add."""
    if results.level not in LEVELS:
        return ()
    known = results.row("measures.season_level") or {}
    adds = known.get("missing_next") or NEXT_LEVEL.get(results.level, "")
    reached = f"The records reach level {results.level} of {max(LEVELS)}: {LEVELS[results.level]}."
    return (missing(f"{reached} {adds}") if adds else note(reached),)
