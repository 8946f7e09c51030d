"""The intake report."""

from __future__ import annotations

import polars as pl
from support.made_results import made_results, made_tables

from pipeline.documents import intake_document
from pipeline.documents.findings import MOST_LISTED
from pipeline.documents.listing import figures_of
from pipeline.documents.model import Document, Table


def table(document: Document, name: str) -> Table:
    return next(block for block in document.blocks if isinstance(block, Table) and block.name == name)


def test_every_sheet_adds_up_and_is_marked() -> None:
    sheets = table(intake_document(made_results()), "sheets")
    # 66 + 812 + 12 + 9 rows.
    assert sheets.rows[-1].cells[2] == 899
    assert {row.cells[-1] for row in sheets.rows} == {"✓"}


def test_a_sheet_that_does_not_add_up_is_not_trusted() -> None:
    tables = made_tables()
    tables["audit.intake"] = tables["audit.intake"].with_columns(accepted=pl.col("accepted") + 1)
    document = intake_document(made_results(tables=tables))
    assert "may not be trusted yet: the rows of season.xlsx, Jobs do not add up" in str(document.lead)
    assert table(document, "sheets").rows[0].cells[-1] == "no"


def test_money_that_differs_is_not_trusted() -> None:
    tables = made_tables()
    tables["audit.control"] = tables["audit.control"].with_columns(
        difference_usd=pl.lit("0.01").cast(pl.Decimal(18, 2))
    )
    assert "may not be trusted" in str(intake_document(made_results(tables=tables)).lead)


def test_errors_come_before_notes_and_are_counted_by_rule() -> None:
    document = intake_document(made_results())
    rules = table(document, "rules")
    assert [(row.cells[0], row.cells[2]) for row in rules.rows] == [("error", 5), ("note", 1)]
    assert "Mend first what breaks the rule “hours lie within a day” (5 findings)" in str(document.lead)


def test_what_most_rows_wait_for_is_mended_first() -> None:
    tables = made_tables()
    finding = tables["audit.findings"].to_dicts()[0] | {"severity": "held", "rule": "the_job_was_accepted"}
    held = pl.DataFrame([finding | {"source_row": row} for row in range(30)])
    tables["audit.findings"] = pl.concat([tables["audit.findings"], held])
    document = intake_document(made_results(tables=tables))
    assert "Put the rejected jobs right first: 30 rows are held for their sake." in str(document.lead)
    # 5 errors, 30 held, 1 note: every one is printed.
    assert [row.cells[0] for row in table(document, "findings").rows] == ["error"] * 5 + ["held"] * 30 + ["note"]


def test_a_page_lists_as_many_findings_as_a_browser_opens_and_says_how_many_there_are() -> None:
    tables = made_tables()
    finding = tables["audit.findings"].to_dicts()[0]
    many = pl.DataFrame([finding | {"source_row": row} for row in range(MOST_LISTED + 1)])
    document = intake_document(made_results(tables=tables | {"audit.findings": many}))
    assert len(table(document, "findings").rows) == MOST_LISTED
    assert figures_of(document)["intake.findings"].value == MOST_LISTED + 1


def test_a_folder_that_was_only_checked_has_no_money_to_add_up() -> None:
    tables = {name: made_tables()[name] for name in ("audit.intake", "audit.findings")}
    document = intake_document(made_results(level=0, tables=tables))
    assert "it has not been loaded" in str(document.lead)


def test_too_much_rejected_is_not_trusted() -> None:
    tables = made_tables()
    # 50 of 59 + 1 + 50 records and more: far above reject_limit's 2 %.
    tables["audit.intake"] = tables["audit.intake"].with_columns(
        rejected=pl.col("rejected") + 50, rows_read=pl.col("rows_read") + 50
    )
    assert "may not be trusted yet" in str(intake_document(made_results(tables=tables)).lead)


def test_digests_are_shortened_and_files_sorted() -> None:
    files = pl.DataFrame({"path": ["b.csv", "a.csv"], "rows": [3, 4], "sha256": ["f" * 64, "e" * 64]})
    rows = table(intake_document(made_results(tables=made_tables() | {"audit.files": files})), "files").rows
    assert [row.cells for row in rows] == [("a.csv", 4, "e" * 12), ("b.csv", 3, "f" * 12)]
