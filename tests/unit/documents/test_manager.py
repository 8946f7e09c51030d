"""The manager's report."""

from __future__ import annotations

import polars as pl
from support.made_failures import SEASON
from support.made_results import made_results, made_tables

from pipeline.documents import manager_document
from pipeline.documents.listing import figures_of
from pipeline.documents.model import Chart, Note, Table
from pipeline.render.charts import draw


def words(document: object) -> str:
    return " ".join(str(block.text) for block in document.blocks if isinstance(block, Note))  # type: ignore[attr-defined]


def test_the_slowest_crew_that_can_be_told_apart_leads() -> None:
    lead = str(manager_document(made_results()).lead)
    assert lead.startswith("Drift #2 (south) took 19\N{NO-BREAK SPACE}% more hours than the average crew")


def test_crews_that_cannot_be_told_apart_are_said_to_be_so() -> None:
    tables = made_tables()
    tables["decisions.crew_comparison"] = tables["decisions.crew_comparison"].with_columns(told_apart=pl.lit(False))
    document = manager_document(made_results(tables=tables))
    assert "These crews cannot be told apart" in str(document.lead)
    assert "These crews cannot be told apart" in words(document)
    assert figures_of(document)["manager.crews_told_apart"].value == 0


def test_without_a_comparison_crews_are_shown_raw_and_unranked() -> None:
    tables = made_tables()
    del tables["decisions.crew_comparison"]
    document = manager_document(made_results(tables=tables, notes={"crews": ["Fewer than 8 jobs a crew."]}))
    assert str(document.lead).startswith("Fewer than 8 jobs a crew.")
    assert "not ranked" in words(document)
    crews = next(b for b in document.blocks if isinstance(b, Table) and b.name == "crews")
    assert "ratio" not in {column.key for column in crews.columns}


def test_the_cautions_are_printed() -> None:
    said = words(manager_document(made_results()))
    for caution in ("not a target for a person on a ladder", "1926.1053(b)(1)", "1926.1053(b)(5)(i)",
                    "1926.501(b)(1)", "Rates are associations", "void its listing", "label come first"):  # fmt: skip
        assert caution in said


def residuals(told: str = "even", wild: bool = True) -> dict[str, pl.DataFrame]:
    """Two classes of jobs, the second taking what `told` says, and two jobs of which one may be wild."""
    classes = [
        {"season": SEASON, "class": n, "jobs": 8, "least_hours": 2.0 * n, "most_hours": 2.0 * n + 1,
         "middle_hours": 2.0 * n + 0.5, "score": 0.1, "low": -0.2, "high": 0.4, "told": "even" if n == 1 else told}
        for n in (1, 2)
    ]  # fmt: skip
    jobs = [
        {"season": SEASON, "branch": "south", "crew": "Drift #2", "job_no": job_no, "feet": 120.0, "hours": 9.0,
         "expected_hours": 5.0, "fitted_hours": 4.8, "score": score, "moves": 0.01, "is_wild": score > 3.5}
        for job_no, score in (("1041", 4.2 if wild else 1.0), ("1042", -0.4))
    ]  # fmt: skip
    figures = {"jobs": 2, "job_spread": 0.2, "crew_spread": 0.1, "bounded_jobs": 1, "most_moved": 0.01,
               "wild_jobs": int(wild)}  # fmt: skip
    return {
        "decisions.crew_residuals": pl.DataFrame(classes),
        "decisions.crew_jobs": pl.DataFrame(jobs),
        "decisions.crew_model": pl.DataFrame(
            [{"season": SEASON, "what": what, "value": float(value)} for what, value in figures.items()]
        ),
    }


def residual_picture(told: str = "even", wild: bool = True) -> Chart:
    document = manager_document(made_results(tables=made_tables() | residuals(told, wild)))
    return next(block for block in document.blocks if isinstance(block, Chart) and block.name == "crew_residuals")


def test_the_residual_plot_says_in_words_what_it_shows_and_names_the_wild_jobs_by_number() -> None:
    picture = residual_picture()
    assert str(picture.title) == "Jobs scatter evenly about the model, the small as the large; 1 wild job lies far off"
    assert picture.alt.startswith(str(picture.title))
    assert "job 1041, Drift #2 4.2" in picture.alt
    assert "1041" in draw(picture)
    assert picture.cloud == ((4.8, -0.4),)


def test_the_residual_plot_says_where_the_model_does_not_fit() -> None:
    assert str(residual_picture("more hours", wild=False).title) == (
        "The model does not fit every size: jobs of 4.0 to 5.0 h took more hours than it says; no job lies far off"
    )


def mix(crew: str, branch: str | None, paid: float, drive: float) -> dict[str, object]:
    shares = {f"{key}_share": 0.0 for key in ("weather", "shop", "training", "overtime")}
    share = drive / paid if paid else None
    return {"season": SEASON, "branch": branch, "crew": crew, "paid_hours": paid, "drive_share": share, **shares}


def test_where_each_crew_s_hours_went_leaves_out_who_was_paid_none_and_says_what_branch_is_not_known() -> None:
    rows = [mix("Drift #2", "south", 200.0, 30.0), mix("Gale", None, 40.0, 0.0), mix("Idle", "north", 0.0, 0.0)]
    tables = made_tables() | {"measures.crew_hours_mix": pl.DataFrame(rows)}
    document = manager_document(made_results(tables=tables))
    table = next(b for b in document.blocks if isinstance(b, Table) and b.name == "crew_hours_mix")
    assert [row.cells[:4] for row in table.rows] == [
        ("Gale", "not known", 40.0, 0.0), ("Drift #2", "south", 200.0, 0.15),
    ]  # fmt: skip


def test_raw_and_fair_hours_stand_by_season_only_where_there_are_two() -> None:
    def titles(seasons: list[int]) -> list[str]:
        hours = [
            {"season": season, "branch": "south", "crew": "Drift #2", "jobs": 12, "feet": 900.0,
             "hours_per_100_ft": 5.0 + n}
            for n, season in enumerate(seasons)
        ]  # fmt: skip
        tables = made_tables() | {"all:measures.crew_hours": pl.DataFrame(hours)}
        document = manager_document(made_results(tables=tables))
        return [b.name for b in document.blocks if isinstance(b, Table)]

    assert "crew_seasons" in titles([SEASON - 1, SEASON])
    assert "crew_seasons" not in titles([SEASON])
    assert "crew_seasons" not in titles([SEASON, SEASON + 1])
