"""figures.json: every figure printed in a report, by name, with what is needed to check it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from pipeline.documents.listing import figures_of
from pipeline.documents.model import Document, Figure

FLOAT_DIGITS = 10
"""Digits kept of a float. Sums of floats may end differently from run to run, beyond any digit that is meant."""


def plain(value: object) -> Any:
    """A value for JSON: an exact decimal as text, a date as ISO text, a float to ten digits."""
    if isinstance(value, Decimal):
        return f"{value.normalize():f}" if value.is_finite() else None
    if isinstance(value, float):
        return float(f"{value:.{FLOAT_DIGITS}g}")
    if isinstance(value, date):
        return value.isoformat()
    return value


def entry(figure: Figure) -> dict[str, Any]:
    """A figure as figures.json holds it."""
    out = {
        "name": figure.name,
        "label": figure.label,
        "value": plain(figure.value),
        "unit": figure.unit,
        "low": plain(figure.low),
        "high": plain(figure.high),
        "level": plain(figure.level) if figure.low is not None else None,
        "definition": figure.definition,
        "source": {"table": figure.source.table, "row": figure.source.row},
    }
    return {key: value for key, value in out.items() if value is not None}


def write_figures(documents: Iterable[Document], path: Path) -> None:
    """Write figures.json of these documents: the same documents give the same bytes."""
    documents = tuple(documents)
    figures = [entry(figure) for document in documents for figure in figures_of(document).values()]
    content = {
        "firm": documents[0].firm if documents else None,
        "season": documents[0].season if documents else None,
        "figures": figures,
    }
    path.write_text(json.dumps(content, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
