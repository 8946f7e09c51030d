"""Cells of an Office Open XML sheet that hold something and that the library gives as blank ones."""

from __future__ import annotations

import polars as pl

from pipeline.workbook.bounding import column_number, markup

WITHOUT_A_RESULT = "formula without a result"
"""What stands for a formula that was never calculated, so that it is not taken for a blank cell."""

_PREFIX = "(?:[A-Za-z0-9_]{1,20}:)?"
_CELL = rf'<{_PREFIX}c r="[A-Z]{{1,3}}[0-9]{{1,7}}"'
_FORMULA = rf"<{_PREFIX}f(?:\s[^<>]*)?(?:/>|>[^<]*</{_PREFIX}f>)"
_IS_ERROR, _IS_TEXT = ' t="e"', ' t="str"'
_MAY_BE_SILENT = rf"{_IS_ERROR}|[<:]f[\s/>]"
_ERROR_CELL = rf"{_CELL}[^<>]*{_IS_ERROR}[^<>]*>(?:{_FORMULA})?<{_PREFIX}v>#[^<]*<"
_NO_RESULT_CELL = rf"{_CELL}[^<>]*>{_FORMULA}(?:<{_PREFIX}v\s*/>|<{_PREFIX}v></{_PREFIX}v>)?</{_PREFIX}c>"

Silent = list[tuple[int, int, str]]


def _placed(cells: pl.Series, texts: pl.Series) -> Silent:
    letters, rows = (cells.str.extract(' r="([A-Z]+)([0-9]+)"', group) for group in (1, 2))
    return [
        (int(row) - 1, column_number(column.encode()) - 1, text)
        for row, column, text in zip(rows, letters, texts, strict=True)
    ]


def silent_cells(xml: bytes) -> Silent:
    """Error cells, and formulas without a result, as (row, column, text), counted from 0."""
    text = markup(xml).str
    if not text.contains(_MAY_BE_SILENT)[0]:
        return []
    found: Silent = []
    if text.contains(_IS_ERROR, literal=True)[0]:
        errors = text.extract_all(_ERROR_CELL).explode().drop_nulls()
        found += _placed(errors, errors.str.extract(">(#[^<]*)<$"))
    formulas = text.extract_all(_NO_RESULT_CELL).explode().drop_nulls()
    # A formula whose result is an empty text says that it is a text.
    formulas = formulas.filter(~formulas.str.contains(f"^[^>]*{_IS_TEXT}"))
    return found + _placed(formulas, pl.repeat(WITHOUT_A_RESULT, len(formulas), eager=True))
