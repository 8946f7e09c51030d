"""The owner's report: what a foot cost, what it was charged at, where money was lost, what to charge next."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

from pipeline.documents import owner_charts as charts
from pipeline.documents import owner_tables as tables
from pipeline.documents import wording
from pipeline.documents.build import counted, figure, listed, missing, note
from pipeline.documents.closing import closing_section
from pipeline.documents.model import Block, Document, Figure, Note, Section, Source, Text, say
from pipeline.documents.owner_build_up import build_up_blocks
from pipeline.documents.owner_card import card_blocks
from pipeline.documents.owner_cash import cash_sections
from pipeline.documents.owner_cost_function import cost_function_blocks
from pipeline.documents.owner_goods import goods_sections
from pipeline.documents.owner_missing import missing_costs
from pipeline.documents.owner_moves import moves_section, renewals_section
from pipeline.documents.owner_price import (
    advised_price,
    forecast_table,
    price_rows,
    price_table,
    segment_price_table,
)
from pipeline.documents.owner_segments import segment_blocks, segment_records
from pipeline.documents.owner_variances import variance_blocks
from pipeline.documents.owner_wins import wins_sections
from pipeline.documents.parts import PARTS, total
from pipeline.documents.results import Results, label_of

Record = dict[str, Any]

LEAD_CHANCE = Decimal("0.8")
"""The chance that the first sentence speaks of: four seasons of five."""


def owner_document(results: Results) -> Document:
    """The owner's report of a season."""
    season = tables.all_jobs(results)
    title = "What a foot of roofline cost, and what to charge"
    if season is None or season["total_usd"] is None or not season["feet"]:
        lead = Text(("No job with feet and a record of any cost was accepted, so nothing can be said about cost.",))
        return Document("owner", title, results.season, results.firm, lead, (), (_closing(results),))
    source = Source("measures.season_cost", f"season={results.season}, branch=all")
    losing = _losing_figures(results, season, source)
    prices = price_rows(results)
    price = advised_price(results, LEAD_CHANCE)
    outlook = _outlook_figures(results) if price else {}
    cost = figure("cost_usd_per_ft", season, source, label="a foot cost")
    charged = figure("charged_usd_per_ft", season, source, label="a foot was charged at")
    left = figure("margin_share", season, source, label="was left of the price")
    figures = [cost, charged, left, *([losing["loss"]] if losing["jobs"].value else [])]
    if price:
        figures = [price, outlook["chance"], outlook["stake"], cost] if outlook else [price, cost, charged, left]
    return Document(
        "owner",
        title,
        results.season,
        results.firm,
        _lead(season, source, losing, price, _target(results), outlook, _on_what(results)),
        tuple(f for f in figures if f.value is not None),
        (
            Section("pictures", "The season in pictures", _pictures(results, season, losing, prices, source)),
            Section("price", f"What to charge in season {label_of(results.season + 1)}", _price(results, prices)),
            *_card(results),
            *wins_sections(results),
            *moves_section(results, price),
            Section("cost", "Where the money went", _cost(results, season)),
            Section("changed", "What changed since the season before", variance_blocks(results, season)),
            Section("kinds", "Kinds of work", _kinds(results)),
            Section(
                "size", "What going to a house costs, and what each foot adds", cost_function_blocks(results, season)
            ),
            Section("losses", "Jobs that lost money", _losses(results, losing)),
            *renewals_section(results),
            *goods_sections(results),
            *cash_sections(results),
            _closing(results),
        ),
    )


def _target(results: Results) -> Figure:
    return Figure(
        "target_margin", "target margin", results.settings.number("target_margin"), "percent", "of price",
        "setting target_margin: share of the price that should be left after all costs",
        Source("reference.settings", f"season={results.season}, setting=target_margin"),
    )  # fmt: skip


def _losing_figures(results: Results, season: Record, source: Source) -> dict[str, Figure]:
    losing = tables.losing_jobs(results)
    at = Source("measures.job_cost", f"season={results.season}")
    loss = total(-job["margin_usd"] for job in losing)
    return {
        "jobs": Figure("losing_jobs", "jobs at a loss", len(losing), "count", "jobs", "jobs that cost more than was "
                       "charged for them", at),
        "loss": Figure("lost_usd", "lost on jobs at a loss", loss, "usd", "usd", "sum over the jobs at a loss of "
                       "cost less charged", at),
        "all": figure("jobs", season, source, label="jobs"),
    }  # fmt: skip


def _outlook_figures(results: Results) -> dict[str, Figure]:
    """The chance that the price charged now has, and the money between it and the price advised; none where unknown."""
    record = results.row("decisions.price_outlook", segment="all")
    if record is None:
        return {}
    source = Source("decisions.price_outlook", f"season={record['season']}, segment=all")
    stake = record["at_stake_usd"]
    return {
        "chance": Figure("chance_at_charged", "chance at this season's price", record["chance_at_charged"],
                         "whole_chance", "chance", "chance that next season reaches the target margin at the mean "
                         "price now", source),
        "stake": Figure("at_stake_usd", "more on this season's feet" if stake >= 0 else "less on this season's feet",
                        abs(stake), "usd", "usd", "(price at 80 % - mean price charged) x this season's feet, "
                        "without its sign", source),
        "sign": Figure("at_stake_sign", "more or less", 1 if stake >= 0 else -1, "count", "sign", "sign of what is at "
                       "stake", source),
    }  # fmt: skip


def _on_what(results: Results) -> str:
    """What a chance hangs on where nothing shows how seasons differ: neither another season nor a setting."""
    seasons = [r for r in results.rows("all:measures.season_cost", branch="all") if r["season"] <= results.season]
    shown = len(seasons) > 1 or results.settings.number("season_spread") is not None
    return "" if shown else ", if next season is like this one"


def _lead(
    season: Record,
    source: Source,
    losing: dict[str, Figure],
    price: Figure | None,
    target: Figure,
    outlook: dict[str, Figure],
    on_what: str,
) -> Text:
    """The decision first: the price, its chance and what it hangs on, the money at stake; then what was."""
    cost = figure("cost_usd_per_ft", season, source, format="usd_cents")
    charged = figure("charged_usd_per_ft", season, source, format="usd_cents")
    margin = figure("margin_share", season, source)
    was = say("A foot cost {} and was charged at {}, which left {} of the price", cost, charged, margin)
    if charged.value is None:
        was = say("A foot cost {}", cost)
    if losing["jobs"].value:
        every = counted(losing["all"], "job", "jobs")
        was = say("{}; {} of {} lost {} between them", was, losing["jobs"], every, losing["loss"])
    if price is None:
        return say("{}. What to charge next cannot be said from these records.", was)
    chance = Figure("lead_chance", "chance of the first screen's price", LEAD_CHANCE, "percent", "chance",
                    "the row of the price table that the first screen speaks of", price.source)  # fmt: skip
    a_foot = replace(price, format="usd_cents")
    ask = say("Charge at least {} a foot next season to keep {} with a chance of {}{}", a_foot, target, chance, on_what)
    if not outlook or charged.value is None:
        return say("{}. {}.", ask, was)
    more = "more" if outlook["sign"].value == 1 else "less"
    return say(
        "{}; at this season's {} the chance is {}. On this season's feet that price is {} {}. {}.",
        ask, charged, outlook["chance"], outlook["stake"], more, was,
    )  # fmt: skip


def _pictures(
    results: Results, season: Record, losing: dict[str, Figure], prices: list[Record], source: Source
) -> tuple[Block, ...]:
    drawn = (
        charts.made_of(season, source),
        charts.price_against_chance(prices, season, _target(results), source),
        charts.job_margins(results, losing["jobs"], losing["all"]),
        charts.kinds_of_work(segment_records(results), results),
        charts.seasons_compared(results),
    )
    return tuple(chart for chart in drawn if chart is not None)


def _price(results: Results, prices: list[Record]) -> tuple[Block, ...]:
    blocks: list[Block] = [note(sentence, "caution") for sentence in results.said("unusual")]
    if prices:
        blocks += [price_table(prices), note(wording.PRICE_METHOD, "method")]
        blocks += [block for block in (segment_price_table(results), forecast_table(results)) if block]
    else:
        blocks.append(missing("No price can be given: " + _why(results, "price", "there are too few jobs.")))
    blocks += [note(sentence) for sentence in results.said("price")]
    return (*blocks, note(wording.MARKUP_METHOD, "method"))


def _card(results: Results) -> tuple[Section, ...]:
    blocks = card_blocks(results)
    title = f"The rate card of season {label_of(results.season + 1)}, and this season again at it"
    return (Section("card", title, blocks),) if blocks else ()


def _why(results: Results, decision: str, otherwise: str) -> str:
    return " ".join(results.said(decision)) or otherwise


def _cost(results: Results, season: Record) -> tuple[Block, ...]:
    blocks: list[Block] = [tables.cost_table(results, season)]
    seasons = tables.seasons_table(results)
    if seasons:
        blocks.append(seasons)
    else:
        blocks.append(missing("Only this season is in the store; close an earlier one to see them beside each other."))
    return (*blocks, *build_up_blocks(results, season))


def _kinds(results: Results) -> tuple[Block, ...]:
    own = has_own_hours(results)
    blocks = segment_blocks(results, segment_records(results), has_own_hours=own)
    spread = tables.job_spread_table(results)
    if spread is None:
        return (*blocks, missing("How far jobs differ is not known: no hours are written down by job."))
    return (*blocks, spread)


def _losses(results: Results, losing: dict[str, Figure]) -> tuple[Block, ...]:
    if not has_own_hours(results):
        return (missing("No hours are written down by job, so which jobs lost money cannot be told (level 2 would)."),)
    if not losing["jobs"].value:
        return (note("No job cost more than was charged for it."),)
    said = say(
        "{} of {} lost money, {} in all.",
        losing["jobs"],
        counted(losing["all"], "job", "jobs"),
        losing["loss"],
    )
    return note(said), tables.losing_table(results, tables.losing_jobs(results))


def has_own_hours(results: Results) -> bool:
    """Whether some job's hours are its own, and not spread by feet."""
    return any(job["has_own_hours"] for job in results.rows("measures.job_cost"))


def _closing(results: Results) -> Section:
    methods = (wording.COST_METHOD, wording.LABOR_METHOD, wording.LEASED_METHOD)
    gaps = (*_understated(results), *missing_costs(results))
    return closing_section(results, "owner", methods, (wording.TAX_CAUTION,), gaps)


def _understated(results: Results) -> tuple[Note, ...]:
    season = tables.all_jobs(results)
    if season is None:
        return ()
    source = Source("measures.season_cost", f"season={results.season}, branch=all")
    notes = []
    unknown = [word for key, word in PARTS if season[f"{key}_usd"] is None]
    if unknown:
        without = "it" if len(unknown) == 1 else "them"
        notes.append(missing(f"No sheet tells of {listed(unknown)}: the cost of a foot is without {without}."))
    if season.get("understated_jobs"):
        count = Figure("understated_jobs", "jobs with a part missing", season["understated_jobs"], "count", "jobs",
                       "jobs of which a part of cost is not known", source)  # fmt: skip
        reasons = dict.fromkeys(
            job["understated_why"]
            for job in results.rows("measures.job_cost", is_understated=True)
            if job["understated_why"]
        )
        because = f" ({'; '.join(reasons)})" if reasons else ""
        notes.append(missing(say("The cost of {} is understated{}.", counted(count, "job", "jobs"), because)))
    if season.get("open_jobs"):
        count = Figure("open_jobs", "jobs still open", season["open_jobs"], "count", "jobs",
                       "jobs without a takedown date", source)  # fmt: skip
        notes.append(
            missing(say("{} still open: their takedown is not in the cost.", counted(count, "job is", "jobs are")))
        )
    return tuple(notes)
