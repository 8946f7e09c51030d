"""The end of every report: how it was computed, cautions, and what is missing."""

from __future__ import annotations

from pipeline.documents.build import missing, note, row, table
from pipeline.documents.columns import prose, words
from pipeline.documents.model import Block, Note, Section, Source
from pipeline.documents.results import Results

LEVELS: dict[int, str] = {
    1: "jobs with their feet, hours by worker and day, purchases and overheads",
    2: "hours by job, and goods issued and returned by job",
    3: "the runs and connections of each job",
    4: "service calls, stock counts, offers and quotes",
}
"""What each level of records holds."""

NEXT_LEVEL: dict[int, str] = {
    1: "Hours and materials written down by job (level 2) would tell which jobs lost money and why.",
    2: "Runs and connections by job (level 3) would tell surfaces apart, compare crews on equal houses and give goods "
    "in place of money.",
    3: "Service calls, stock counts and offers (level 4) would give failure rates, the price of a connection and "
    "an order to the pack.",
}
"""What the next level of records would add, where the store does not say it itself."""

_UNEMPLOYMENT = "labor is understated by the state's unemployment tax"
_COMPENSATION = "labor is understated by workers' compensation"
_RETURNS = "how many properties return is taken from the seasons in the store, where there are two"
_NEW_JOBS = "the number of new jobs is taken from the seasons in the store"

SETTING_EFFECTS: dict[str, dict[str, str]] = {
    "owner": {
        "state_unemployment": _UNEMPLOYMENT,
        "compensation": _COMPENSATION,
        "owner_wage": "the owner's own hours have no cost here",
        "season_spread": "with one season in the store, the price holds if next season is like this one",
    },
    "manager": {
        "state_unemployment": _UNEMPLOYMENT,
        "compensation": _COMPENSATION,
        "joint_minutes": "the making of a connection is left out of its price",
        "joint_parts": "the parts of a connection, beyond its item, are left out of its price",
        "gap_allowed": "no way of crossing a gap between rooflines is advised",
    },
    "buyer": {"return_rate": _RETURNS, "new_jobs_likely": _NEW_JOBS},
}
"""What follows, in each document, where a setting was not given."""


def closing_section(
    results: Results, document: str, methods: tuple[str, ...], cautions: tuple[str, ...], gaps: tuple[Block, ...] = ()
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
