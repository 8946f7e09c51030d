"""The owner's report."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import polars as pl
from support.made_results import SEASON, made_results, made_tables, usd

from pipeline.documents import owner_document
from pipeline.documents.listing import figures_of
from pipeline.documents.model import Chart, Table
from pipeline.documents.owner_charts import job_margins
from pipeline.documents.owner_segments import segment_records
from pipeline.documents.owner_tables import blame, quantile
from pipeline.documents.parts import PARTS, expected_per_foot


def job(job_no: str, feet: int, labor: float, materials: float, invoiced: float) -> dict:
    parts = {f"{key}_usd": usd(0) for key, _ in PARTS} | {"labor_usd": usd(labor), "materials_usd": usd(materials)}
    total = usd(labor + materials)
    margin = usd(invoiced) - total
    return {
        "season": SEASON, "branch": "main", "job_no": job_no, "crew": "Aspen", "work": "new",
        "terms": "leased", "stories": 1, "feet": Decimal(feet), **parts,
        "total_usd": total, "invoiced_usd": usd(invoiced), "margin_usd": margin,
        "margin_share": float(margin / usd(invoiced)), "has_own_hours": True, "is_understated": False,
        "understated_why": None,
    }  # fmt: skip


JOBS = [job("1", 100, 200, 100, 600), job("2", 100, 250, 100, 650), job("3", 100, 640, 120, 700),
        job("4", 100, 200, 100, 250)]  # fmt: skip


def test_the_part_that_did_it_lies_furthest_above_the_firm_s_other_jobs() -> None:
    # The others, jobs 1, 2 and 4: labor 650 / 300 ft, materials 300 / 300 ft, charged 1500 / 300 ft.
    expected = expected_per_foot(JOBS[2], JOBS)
    assert {key: round(value, 6) for key, value in expected.items() if value} == {
        "labor": Decimal("2.166667"), "materials": 1, "charged": 5,
    }  # fmt: skip
    # 6.40 - 2.1667, against materials 1.20 - 1.00.
    assert blame(JOBS[2], expected) == ("labor", Decimal("6.40") - expected["labor"])


def test_a_price_below_theirs_counts_as_a_part() -> None:
    # Jobs 1, 2 and 3 were charged 1950 / 300 ft = 6.50; job 4 was charged 2.50.
    assert blame(JOBS[3], expected_per_foot(JOBS[3], JOBS)) == ("a low price", Decimal("4.00"))


def test_a_job_is_held_against_those_like_it_where_there_are_enough() -> None:
    sold = [job(str(number), 100, 300, 100, 600) | {"terms": "sold"} for number in range(20, 29)]
    leased = [job(str(number), 100, 200, 100, 600) | {"terms": "leased"} for number in range(40, 49)]
    # 8 others that are sold: 3.00; 7 others are too few, and all 17 are taken: (7 x 3.00 + 9 x 2.00) / 16.
    assert expected_per_foot(sold[0], [*sold, *leased])["labor"] == Decimal("3.00")
    few = [*sold[1:], *leased]
    assert expected_per_foot(few[0], few)["labor"] == Decimal(39) / 16


def test_the_losing_jobs_are_listed_worst_first_with_their_sum() -> None:
    results = made_results(tables=made_tables() | {"measures.job_cost": pl.DataFrame(JOBS)})
    document = owner_document(results)
    figures = figures_of(document)
    # Job 3: 700 - 760 = -60; job 4: 250 - 300 = -50; together 110.
    assert figures["owner.losing_jobs"].value == 2
    assert figures["owner.lost_usd"].value == usd(110)
    table = next(b for b in document.blocks if isinstance(b, Table) and b.name == "losing_jobs")
    assert [row.cells[0] for row in table.rows] == ["3", "4"]


def test_jobs_that_lost_little_are_drawn_below_nothing() -> None:
    results = made_results(tables={"measures.job_cost": pl.DataFrame([job("1", 100, 505, 0, 500)])})
    owner = figures_of(owner_document(made_results()))
    chart = job_margins(results, owner["owner.losing_jobs"], owner["owner.jobs"])
    assert chart is not None
    assert [(p.key, p.value, p.role) for p in chart.series[0].points] == [("from_minus_10", 1, "bad")]


def test_a_quantile_lies_between_its_neighbours() -> None:
    assert quantile([4, 1, 3, 2, None], 0.5) == 2.5
    assert quantile([], 0.5) is None


def test_margin_and_markup_stand_beside_each_other() -> None:
    figures = figures_of(owner_document(made_results()))
    # $7.80 for an expected $4.85: markup 7.80 / 4.85 - 1 = .608247...
    assert round(float(figures["owner.price_table.all.0_8.markup_share"].value), 6) == 0.608247


def test_the_first_sentence_says_what_to_charge() -> None:
    lead = str(owner_document(made_results()).lead)
    assert lead.startswith("Charge at least $7.80 a foot next season to keep 35\N{NO-BREAK SPACE}%")


def test_without_a_price_the_report_says_so() -> None:
    tables = made_tables()
    del tables["decisions.price_table"]
    document = owner_document(made_results(tables=tables, notes={"price": ["Fewer than 8 jobs."]}))
    assert "cannot be said" in str(document.lead)
    assert "price" not in {b.name for b in document.blocks if isinstance(b, Chart)}


def test_bands_stand_in_the_order_of_their_numbers() -> None:
    bands = ("250 ft and over", "100 to 149 ft", "under 100 ft")
    row = made_tables()["measures.segment_cost"].to_dicts()[0]
    frame = pl.DataFrame([row | {"view": "size_band", "segment": band} for band in bands])
    records = segment_records(made_results(tables={"measures.segment_cost": frame}))
    assert [r["segment"] for r in records] == ["under 100 ft", "100 to 149 ft", "250 ft and over"]


def test_hours_spread_by_feet_name_no_losing_job() -> None:
    tables = made_tables()
    tables["measures.job_cost"] = tables["measures.job_cost"].with_columns(has_own_hours=pl.lit(False))
    document = owner_document(made_results(level=1, tables=tables))
    assert "losing_jobs" not in {block.name for block in document.blocks if isinstance(block, Table)}
    assert any("which jobs lost money cannot be told" in str(getattr(b, "text", "")) for b in document.blocks)


def test_settings_not_given_are_named_with_what_follows() -> None:
    results = made_results()
    document = owner_document(replace(results))
    table = next(b for b in document.blocks if isinstance(b, Table) and b.name == "missing_settings")
    assert [row.cells[0] for row in table.rows] == ["owner_wage", "state_unemployment"]
