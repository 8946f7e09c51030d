"""The end of every report: how it was computed, cautions, and what is missing."""

from __future__ import annotations

from pipeline.documents.build import missing, note
from pipeline.documents.model import Note, Section
from pipeline.documents.results import Results
from pipeline.documents.wording import LEVELS, NEXT_LEVEL, SETTING_EFFECTS


def closing_section(
    results: Results, methods: tuple[str, ...], cautions: tuple[str, ...], gaps: tuple[Note, ...] = ()
) -> Section:
    """Method, cautions, gaps, the settings not given that matter, and what the next level of records adds."""
    blocks = [
        *(note(text, "caution") for text in cautions),
        *(note(text, "method") for text in methods),
        *gaps,
        *missing_settings(results),
        *level_notes(results),
    ]
    return Section("method", "How this was computed, and what is missing", tuple(blocks))


def missing_settings(results: Results) -> tuple[Note, ...]:
    """One note for the settings that were not given, each with what follows from it."""
    effects = [f"{name}: {SETTING_EFFECTS[name]}" for name in results.settings.missing() if name in SETTING_EFFECTS]
    if not effects:
        return ()
    return (missing(f"Settings not given. {'; '.join(effects)}."),)


def level_notes(results: Results) -> tuple[Note, ...]:
    """Which level the records reach, and what the next one would add."""
    if results.level not in LEVELS:
        return ()
    known = results.row("measures.season_level") or {}
    adds = known.get("missing_next") or NEXT_LEVEL.get(results.level, "")
    reached = f"The records reach level {results.level} of {max(LEVELS)}: {LEVELS[results.level]}."
    return (missing(f"{reached} {adds}".strip()),)
