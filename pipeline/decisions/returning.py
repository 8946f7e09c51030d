"""Which of the season's properties come back: their chances by terms and tenure, and draws of them."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import DEMAND_DRAWS, MOST_TENURES, TENURE_WORTH
from pipeline.settings import Settings

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]


@dataclass(frozen=True)
class Ahead:
    """What is settled before the order: customers who signed for next season, who will not have it, and new jobs; and
    what is to be said where the records cannot show it."""

    staying: frozenset[str] = frozenset()
    leaving: frozenset[str] = frozenset()
    new: int = 0
    notes: tuple[str, ...] = ()


NO_QUOTES = "No quotes are on record, so no renewal and no new job of next season counts as signed or turned down."
NO_LATER_QUOTES = (
    "No quote is dated after the season's last installation, so no renewal and no new job of next season counts as "
    "signed or turned down."
)


def settled(quotes: pl.DataFrame, installed: list[date]) -> Ahead:
    """What quotes after the season's last installation settle for the next one; `quotes` are a season's rows of
    facts.quote_outcomes. Quotes of no said work, and those that count as lost for their age alone, settle nothing."""
    if quotes.is_empty():
        return Ahead(notes=(NO_QUOTES,))
    if not installed:
        return Ahead()
    ahead = quotes.filter((pl.col("quote_date") > max(installed)) & ~pl.col("is_aged"))
    if ahead.is_empty():
        return Ahead(notes=(NO_LATER_QUOTES,))
    won, renewal = pl.col("outcome") == "won", pl.col("work") == "repeat"

    def customers(which: pl.Expr) -> frozenset[str]:
        return frozenset(ahead.filter(renewal & which)["customer_no"].drop_nulls())

    staying = customers(won)
    leaving = customers(pl.col("outcome") == "lost") - staying
    return Ahead(staying, leaving, ahead.filter((pl.col("work") == "new") & won).height)


@dataclass(frozen=True)
class Returns:
    """The season's properties, and what is known of their coming back.

    `chances` has a row a draw and a column a cell (terms and tenure), `cell` the cell of each property, `known` 1 or 0
    where it is settled already and nan elsewhere.
    """

    properties: pl.DataFrame
    cell: Counts
    chances: Floats
    known: Floats
    notes: list[str] = field(default_factory=list)

    def drawn(self, block: slice, rng: np.random.Generator) -> NDArray[np.bool_]:
        """Who comes back in a block of the draws: a row a draw, a column a property."""
        chance = self.chances[block][:, self.cell]
        chance = np.where(np.isnan(self.known), chance, self.known)
        return np.asarray(rng.random(chance.shape) < chance)


def _distinct(properties: pl.DataFrame) -> pl.DataFrame:
    """One row a season and property, whatever branch it is in."""
    return properties.sort("season", "property_no", "branch").unique(
        ["season", "property_no"], keep="first", maintain_order=True
    )


def cell_chances(came: Counts, seen: Counts, rng: np.random.Generator) -> Floats:
    """Draws of the chances of cells of which `came` of `seen` properties came back: a row a draw.

    Beta-binomial: what all cells have in common is drawn from a flat prior and their counts, and each cell's own
    chance from a prior about it that is worth `TENURE_WORTH` properties, and its own counts.
    """
    common = rng.beta(came.sum() + 1, (seen - came).sum() + 1, DEMAND_DRAWS)[:, None]
    return np.asarray(rng.beta(TENURE_WORTH * common + came, TENURE_WORTH * (1 - common) + seen - came))


def _limits(came: int, seen: int) -> str:
    from pipeline.statistics.intervals import clopper_pearson_limits

    low, high = clopper_pearson_limits(came, seen)
    return f"{came / seen * 100:.0f} %, 95 % limits {low * 100:.0f} to {high * 100:.0f} %"


def returning(
    properties: pl.DataFrame, settings: Settings, season: int, rng: np.random.Generator, ahead: Ahead | None = None
) -> Returns:
    """Draws of the chance that each of the season's properties returns, by terms and tenure, and what it rests on.

    `properties` is facts.property_seasons. The chance comes from pairs of seasons in the store, else from the setting
    return_rate; else nothing is known. A customer with one property who has signed for next season, or has turned it
    down, is taken as that.
    """
    ahead = ahead or Ahead()
    distinct = _distinct(properties).with_columns(tenure=pl.col("tenure").clip(1, MOST_TENURES).cast(pl.Int64))
    now = distinct.filter(pl.col("season") == season)
    past = distinct.filter((pl.col("season") < season) & pl.col("returned").is_not_null())
    terms = now["terms"].to_numpy() == "sold"
    cell = (terms * MOST_TENURES + now["tenure"].to_numpy() - 1).astype(np.int64)
    lone = now.with_columns(alone=pl.len().over("customer_no") == 1)
    who = [customer if alone else None for customer, alone in lone.select("customer_no", "alone").iter_rows()]
    known = np.array([1.0 if one in ahead.staying else 0.0 if one in ahead.leaving else np.nan for one in who])
    given = settings.number("return_rate")
    notes = []
    if past.height:
        chances = np.hstack([_chances_of(past, name, rng) for name in ("leased", "sold")])
        came = int(past["returned"].sum())
        limits = _limits(came, past.height)
        notes.append(f"{came} of {past.height} properties of earlier seasons came back the next one: {limits}.")
    elif given is not None:
        chances = np.full((DEMAND_DRAWS, 2 * MOST_TENURES), float(given))
        notes.append("Returning properties follow the setting return_rate.")
    else:
        chances = np.ones((DEMAND_DRAWS, 2 * MOST_TENURES))
        notes.append(
            "One season does not show who returns, and return_rate is not given: replacements are counted for all "
            "properties, and no goods as coming back."
        )
    told = int((known == 1).sum()), int((known == 0).sum())
    if any(told):
        signed = "1 renewal is" if told[0] == 1 else f"{told[0]} renewals are"
        notes.append(f"Of next season {signed} signed already and {told[1]} turned down; they count as that.")
    return Returns(now, cell, chances, known, notes)


def _chances_of(past: pl.DataFrame, terms: str, rng: np.random.Generator) -> Floats:
    """Draws of the chances of each tenure on some terms; terms that no past season shows share those of all."""
    own = past.filter(pl.col("terms") == terms)
    if own.is_empty():
        own = past.with_columns(tenure=pl.lit(0, dtype=pl.Int64))
    by = {
        tenure: (came, seen)
        for tenure, came, seen in own.group_by("tenure").agg(pl.col("returned").sum(), seen=pl.len()).iter_rows()
    }
    cells = [by.get(tenure, (0, 0)) for tenure in range(MOST_TENURES + 1)]
    came, seen = (np.array([cell[k] for cell in cells], dtype=np.int64) for k in (0, 1))
    return cell_chances(came, seen, rng)[:, 1:]
