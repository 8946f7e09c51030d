"""What the owner's report says of quotes: no more than they show."""

from __future__ import annotations

from dataclasses import replace

import polars as pl
from support.made_results import SEASON, made_results

from pipeline.documents.model import Chart, Note, Section, Table
from pipeline.documents.owner_wins import wins_sections

FACTORS = [0.9, 0.95, 1.0, 1.05, 1.1]
SUMMARY = {
    "season": SEASON + 1, "work": "new", "quotes": 320, "won": 140, "quoted_usd_per_ft": 8.0, "won_share": 0.44,
    "lost_share": 0.06, "lost_low": 0.03, "lost_high": 0.09, "good_low": 7.6, "good_high": 8.4,
    "best_usd_per_ft": None, "best_end": None, "is_separated": False, "fits": None,
    "most_hours": 2400.0, "left_hours": 900.0, "busiest": None, "fits_from_usd_per_ft": None,
}  # fmt: skip
RESPONSES = [
    {
        "season": SEASON + 1, "work": "new", "price_usd_per_ft": 8 * factor, "factor": factor,
        "won_share": 0.44 - factor + 1, "won_low": 0.3, "won_high": 0.6, "contribution_usd": 60_000.0,
        "contribution_low": 50_000.0, "contribution_high": 70_000.0, "feet": 9_000.0, "hours": None,
    }
    for factor in FACTORS
]  # fmt: skip
EVEN = [
    {"season": SEASON + 1, "work": "all", "rise": 0.1, "price_usd_per_ft": 8.8, "left_share": 0.4, "lose_share": 0.2}
]


def sections(
    summary: dict | None = None, even: list[dict] = EVEN, notes: list[str] | None = None
) -> tuple[Section, ...]:
    results = made_results()
    tables = results.tables | {
        "decisions.good_prices": pl.DataFrame([] if summary is None else [SUMMARY | summary], infer_schema_length=None),
        "decisions.price_response": pl.DataFrame(RESPONSES),
        "decisions.break_even": pl.DataFrame(even),
    }
    return wins_sections(replace(results, tables=tables, notes={"quotes": notes or []}))


def said(summary: dict) -> str:
    (section,) = sections(summary)
    return str(next(block.text for block in section.blocks if isinstance(block, Note)))


def has_chart(summary: dict) -> bool:
    (section,) = sections(summary)
    return any(isinstance(block, Chart) for block in section.blocks)


def test_a_loss_that_is_shown_is_said_with_its_limits_and_drawn() -> None:
    assert said({}).replace("\N{NO-BREAK SPACE}", " ") == (
        "New work: 140 of 320 quotes were won. A rise of 5 % would lose another 6 % of them (3 % to 9 %). "
        "The price that leaves most lies, four times in five, between $7.60 and $8.40 a foot; $8.00 was quoted."
    )
    assert has_chart({})
    assert said({"best_usd_per_ft": 8.1}).endswith(" The best single guess is $8.10.")


def test_where_the_limits_reach_no_loss_none_is_claimed_and_nothing_is_drawn() -> None:
    text = said({"lost_low": -0.01, "lost_high": 0.04})
    assert "do not show that a rise of 5 % loses any; it may lose as much as 4\N{NO-BREAK SPACE}% of them." in text
    assert not has_chart({"lost_low": -0.01, "lost_high": 0.04})
    assert "loses any. " in said({"lost_low": -0.05, "lost_high": 0.0})


def test_the_best_price_at_an_end_is_said_to_be_open() -> None:
    assert "at the highest prices that were tried for like houses, $8.40 a foot" in said({"best_end": "high"})
    assert "at the lowest prices that were tried for like houses, $7.60 a foot" in said({"best_end": "low"})
    nothing = {"lost_share": None, "lost_low": None, "lost_high": None}
    assert "never quoted as much as 5 % apart" in said(nothing)
    assert not has_chart(nothing)


def test_without_quotes_the_break_even_loss_stands_alone() -> None:
    (section,) = sections(None, notes=["No quotes were handed in."])
    kinds = [type(block) for block in section.blocks]
    assert kinds == [Note, Table]
    table = section.blocks[1]
    assert isinstance(table, Table)
    assert table.rows[0].cells == ("All work", 0.1, 8.8, 0.2)
    assert sections(None, even=[]) == ()


def crews_said(**summary: object) -> str:
    (section,) = sections(summary)
    notes = [str(block.text) for block in section.blocks if isinstance(block, Note)]
    return next((text for text in notes if text.startswith("The crews have")), "").replace("\N{NO-BREAK SPACE}", " ")


def test_crew_hours_are_said_as_a_limit_of_the_prices_and_whose_they_are() -> None:
    assert crews_said(fits="some", fits_from_usd_per_ft=7.8) == (
        "The crews have 2,400 h in a season (as the setting crew_hours says), and beside other work 900 h of them are "
        "left. At prices under $7.80 a foot more would be won than can be done in them, so no good price lies below it."
    )
    busiest = crews_said(fits="all", busiest=SEASON)
    assert "the busiest in the store; give crew_hours if it is not so" in busiest
    assert busiest.endswith("What is won at any of these prices can be done in them.")
    assert "More would be won than can be done in them, whichever" in crews_said(fits="none")
    assert crews_said() == ""
