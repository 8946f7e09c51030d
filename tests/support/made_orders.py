"""Histories of two seasons and what may come of the third, made by a process that is not the one that is fitted.

Everything here is invented. Inquiries come in clumps and are won or not; the firm's level drifts by a spread of its
own; houses are of three kinds, and a street's fashion sets line and colour; offcut falls run by run; a house is left
for reasons that no record holds (moves, taste), not by its tenure; what fails follows the house and the winter.
Nothing is beta-binomial, gamma-Poisson or a resample. A firm does 100 to 300 jobs a season. No quote of a history
tells of the next season: the order goes out before its customers sign.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray
from support.season_frames import SEASON, closing_stock, item_use, items, job_items, offers, property_seasons

from pipeline.decisions.demand import Records

Floats = NDArray[np.float64]
ITEMS = ("BC", "BR", "BW", "FA", "L12", "L15", "PL")
KINDS = ("bulb", "bulb", "bulb", "fastener", "light_line", "light_line", "plug")
PACKS = (100, 100, 100, 500, 500, 500, 50)
PRICES = (70.0, 75.0, 66.0, 80.0, 180.0, 160.0, 38.0)
FAILING = (0.03, 0.03, 0.03, 0.08, 0.01, 0.01, 0.05)
"""Share of what stands that fails in a plain winter, by item."""
LIFE = 4


@dataclass(frozen=True)
class Firm:
    """A firm's true state: what no record holds of it."""

    level: float
    drift: float
    clumps: float
    win: float
    fashion: Floats
    wide: float
    leased: float
    moves: float
    renews: float


@dataclass(frozen=True)
class Houses:
    """Houses, a row each: what stands (`built`), what was used to build it, taste, terms, and season of the cut."""

    built: Floats
    used: Floats
    taste: Floats
    is_leased: NDArray[np.bool_]
    cut: NDArray[np.int64]

    def only(self, chosen: NDArray[np.bool_]) -> Houses:
        return Houses(
            self.built[chosen], self.used[chosen], self.taste[chosen], self.is_leased[chosen], self.cut[chosen]
        )

    def beside(self, more: Houses) -> Houses:
        return Houses(*(np.concatenate([getattr(self, k), getattr(more, k)]) for k in self.__dataclass_fields__))


JOBS = (100.0, 300.0)
"""Jobs of a season in a firm, about: a returning one for each new one, and half as many again."""
JOBS_A_NEW_ONE = 2.5
DRIFT, CLUMPS = (0.1, 0.35), (0.5, 2.0)
"""Deviation of the logarithm of the yearly change in inquiries, and how much they clump: variance over mean, less 1, at
100 of them."""


def make_firm(rng: np.random.Generator, swing: float = 1.0) -> Firm:
    """A firm; `swing` is what its drift and clumps are multiplied by."""
    win = float(rng.uniform(0.35, 0.6))
    return Firm(
        level=float(rng.uniform(*JOBS)) / JOBS_A_NEW_ONE / win, drift=swing * float(rng.uniform(*DRIFT)),
        clumps=swing * float(rng.uniform(*CLUMPS)), win=win, fashion=rng.dirichlet([4.0, 2.0, 6.0]),
        wide=float(rng.uniform(0.2, 0.5)), leased=float(rng.uniform(0.4, 0.8)), moves=float(rng.uniform(0.04, 0.1)),
        renews=float(rng.uniform(0, 1)),
    )  # fmt: skip


def make_houses(firm: Firm, count: int, season: int, rng: np.random.Generator) -> Houses:
    """Houses new to the books in a season."""
    kind = rng.choice(3, count, p=[0.5, 0.35, 0.15])
    feet = np.maximum(40, rng.normal(np.array([110, 170, 280])[kind], np.array([25, 40, 80])[kind])).round()
    wide = rng.random(count) < firm.wide
    sockets = np.floor(feet / np.where(wide, 1.25, 1.0))
    colour = rng.choice(3, count, p=firm.fashion)
    mixed = rng.random(count) < 0.15
    built = np.zeros((count, len(ITEMS)))
    for n in range(3):
        built[:, n] = sockets * np.where(mixed, 1 / 3, colour == n)
    built[:, 3] = sockets
    built[np.arange(count), np.where(wide, 5, 4)] = feet
    built[:, 6] = 2 * rng.integers(2, 6, count)
    used = np.ceil(built)
    runs = rng.integers(2, 7, count)
    waste = np.bincount(np.repeat(np.arange(count), runs), rng.uniform(0, 6, runs.sum()), count)
    used[np.arange(count), np.where(wide, 5, 4)] += waste.round()
    used[:, :4] += (used[:, :4] > 0) * rng.poisson(3, (count, 4))
    return Houses(built, used, rng.normal(0, 1, count), rng.random(count) < firm.leased, np.full(count, season))


def new_count(firm: Firm, level: float, rng: np.random.Generator) -> int:
    inquiries = rng.poisson(level * rng.gamma(1 / (0.01 * firm.clumps), 0.01 * firm.clumps))
    return int(rng.binomial(inquiries, firm.win))


def made_counts(seed: int, futures: int, swing: float = 1.0) -> tuple[tuple[int, int], NDArray[np.int64]]:
    """A firm's new jobs of two seasons, and of `futures` that may follow: the counts of a history alone."""
    rng = np.random.default_rng([seed, 13])
    firm = make_firm(rng, swing)
    first = max(8, new_count(firm, firm.level, rng))
    level = firm.level * float(np.exp(firm.drift * rng.standard_normal()))
    last = max(8, new_count(firm, level, rng))
    moves = np.exp(firm.drift * rng.standard_normal(futures))
    return (first, last), np.array([new_count(firm, level * float(move), rng) for move in moves])


def new_counts_seen(
    first: int, last: int, draws: int, rng: np.random.Generator, swing: float = 1.0
) -> NDArray[np.int64]:
    """New jobs of a next season by one who knows how such firms come about and the counts of two seasons: firms as
    `make_firm` draws them, weighted by how likely they bring those counts."""
    from scipy.stats import nbinom

    many = 40_000
    level = rng.uniform(*JOBS, many) / JOBS_A_NEW_ONE
    drift, size = swing * rng.uniform(*DRIFT, many), 100 / (swing * rng.uniform(*CLUMPS, many))
    then = level * np.exp(drift * rng.standard_normal(many))
    weight = nbinom.pmf(first, size, size / (size + level)) * nbinom.pmf(last, size, size / (size + then))
    own = rng.choice(many, draws, p=weight / weight.sum())
    coming = then[own] * np.exp(drift[own] * rng.standard_normal(draws))
    return rng.poisson(coming * rng.gamma(size[own], 1 / size[own]))


def comes_back(firm: Firm, houses: Houses, rng: np.random.Generator) -> NDArray[np.bool_]:
    stays = 1 / (1 + np.exp(-(2.0 + 0.9 * houses.taste)))
    return np.asarray((rng.random(len(stays)) > firm.moves) & (rng.random(len(stays)) < stays))


def upkeep(firm: Firm, houses: Houses, season: int, rng: np.random.Generator) -> tuple[Floats, Houses]:
    """What repeat work takes of each item at each house, and the houses with what was cut anew."""
    winter = rng.gamma(25, 1 / 25)
    hazard = rng.lognormal(-0.18, 0.6, len(houses.cut))[:, None] * winter * np.array(FAILING)
    took = rng.poisson(houses.built * hazard).astype(float)
    anew = houses.is_leased & (season - houses.cut >= LIFE) & (rng.random(len(houses.cut)) < firm.renews)
    took[anew] = houses.used[anew]
    cut = np.where(anew, season, houses.cut)
    return took, Houses(houses.built, houses.used, houses.taste, houses.is_leased, cut)


@dataclass(frozen=True)
class History:
    """Two seasons in the records, SEASON the last, and what may come of the next one: `used`, `fresh` (of it by new
    jobs) and `back` with a row a possible season and a column an item, `new` jobs, and `comes`, a column a property of
    the records' order."""

    records: Records
    stock: pl.DataFrame
    offered: pl.DataFrame
    used: Floats
    fresh: Floats
    back: Floats
    new: NDArray[np.int64]
    comes: NDArray[np.bool_]
    names: list[str]


def _rows(season: int, names: list[str], work: str, houses: Houses, took: Floats) -> list[dict[str, Any]]:
    return [
        {"season": season, "job_no": f"{season}-{names[n]}", "property_no": names[n], "work": work,
         "terms": "leased" if houses.is_leased[n] else "sold", "item_no": ITEMS[k], "kind": KINDS[k],
         "unit": "ft" if KINDS[k] == "light_line" else "each", "net": took[n, k], "built": houses.built[n, k]}
        for n in range(len(names)) for k in range(len(ITEMS)) if houses.built[n, k] or took[n, k]
    ]  # fmt: skip


def goods() -> tuple[pl.DataFrame, pl.DataFrame]:
    """The items, and spring prices 6 % under list."""
    listed = [
        {"item_no": item, "kind": kind, "unit": "ft" if kind == "light_line" else "each", "pack_size": pack,
         "pack_price": price, "life_seasons": LIFE, "lead_days": 14, "spacing_in": None}
        for item, kind, pack, price in zip(ITEMS, KINDS, PACKS, PRICES, strict=True)
    ]  # fmt: skip
    spring = [
        {"item_no": item, "pack_size": pack, "pack_price": round(price * 0.94, 2), "order_by": date(2032, 5, 1)}
        for item, pack, price in zip(ITEMS, PACKS, PRICES, strict=True)
    ]  # fmt: skip
    return items(listed), offers(spring)


def make_history(seed: int, futures: int, *, early: bool = False) -> History:
    """A firm's last two seasons, and `futures` seasons that may follow them. `early`: spring prices, 6 % lower."""
    rng = np.random.default_rng([seed, 11])
    firm = make_firm(rng)
    first = SEASON - 1
    fresh, older = max(8, new_count(firm, firm.level, rng)), int(rng.poisson(firm.level * firm.win * 1.2))
    age = np.concatenate([np.zeros(fresh, dtype=np.int64), rng.choice(4, older, p=[0.4, 0.3, 0.2, 0.1]) + 1])
    old = make_houses(firm, len(age), first, rng)
    old = Houses(old.built, old.used, old.taste + 0.4 * (age > 0), old.is_leased, first - age)
    names = [f"P{n:04d}" for n in range(len(age))]
    is_old = age > 0
    took, old = upkeep(firm, old, first, rng)
    rows = _rows(first, [n for n, o in zip(names, is_old, strict=True) if o], "repeat", old.only(is_old), took[is_old])
    rows += _rows(first, [n for n, o in zip(names, is_old, strict=True) if not o], "new", old.only(~is_old),
                  old.used[~is_old])  # fmt: skip
    back = comes_back(firm, old, rng)
    homes = [
        {"season": first, "property_no": name, "terms": "leased" if old.is_leased[n] else "sold",
         "tenure": int(age[n]) + 1, "returned": bool(back[n])}
        for n, name in enumerate(names)
    ]  # fmt: skip
    level = firm.level * float(np.exp(firm.drift * rng.standard_normal()))
    new = make_houses(firm, max(8, new_count(firm, level, rng)), SEASON, rng)
    stay = old.only(back)
    took, stay = upkeep(firm, stay, SEASON, rng)
    stay_names = [name for name, came in zip(names, back, strict=True) if came]
    new_names = [f"Q{n:04d}" for n in range(len(new.cut))]
    rows += _rows(SEASON, stay_names, "repeat", stay, took) + _rows(SEASON, new_names, "new", new, new.used)
    now, now_names = stay.beside(new), stay_names + new_names
    tenure = dict(zip(names, age + 2, strict=True))
    homes += [
        {"season": SEASON, "property_no": name, "terms": "leased" if now.is_leased[n] else "sold",
         "tenure": int(tenure.get(name, 1)), "returned": None}
        for n, name in enumerate(now_names)
    ]  # fmt: skip
    made = job_items(rows)
    listed, spring = goods()
    last = made.filter(pl.col("season") == SEASON).group_by("item_no").agg(pl.col("net").sum().cast(pl.Float64))
    use = dict(last.iter_rows())
    stock = closing_stock(
        [{"item_no": item, "usable": round(use.get(item, 0) * rng.uniform(0, 0.3))} for item in ITEMS]
    )
    futures_rng = np.random.default_rng([seed, 12])
    outcomes = [_future(firm, now, level, futures_rng) for _ in range(futures)]
    used, fresh, back, count, comes = (np.array(column) for column in zip(*outcomes, strict=True))
    return History(
        Records(made, property_seasons(homes), item_use([{}]).clear(), listed), stock,
        spring if early else spring.clear(), used, fresh, back, count, comes, now_names,
    )  # fmt: skip


def _future(
    firm: Firm, now: Houses, level: float, rng: np.random.Generator
) -> tuple[Floats, Floats, Floats, int, NDArray[np.bool_]]:
    """What a next season uses, of it by new jobs, what comes back usable, its new jobs, and who comes."""
    comes = comes_back(firm, now, rng)
    took, _ = upkeep(firm, now.only(comes), SEASON + 1, rng)
    count = new_count(firm, level * float(np.exp(firm.drift * rng.standard_normal())), rng)
    fresh = make_houses(firm, count, SEASON + 1, rng).used.sum(axis=0)
    gone = now.only(~comes & now.is_leased & (SEASON + 1 - now.cut < LIFE))
    share = rng.beta(5, 5, len(gone.cut))[:, None] if len(gone.cut) else np.zeros((0, 1))
    return took.sum(axis=0) + fresh, fresh, (gone.built * share).sum(axis=0), count, comes
