"""What a property is worth: its first season, the later ones, and when leased goods are paid for."""

from __future__ import annotations

import polars as pl

from pipeline.decisions.policy import MIN_JOBS_FOR_PRICE
from pipeline.settings import Settings

RENEWALS = {
    "season": pl.Int32, "terms": pl.String, "first_jobs": pl.Int32, "first_charged_usd": pl.Float64,
    "first_cost_usd": pl.Float64, "first_goods_usd": pl.Float64, "later_jobs": pl.Int32,
    "later_charged_usd": pl.Float64, "later_cost_usd": pl.Float64, "returned": pl.Int32, "seen": pl.Int32,
    "return_rate": pl.Float64, "low": pl.Float64, "high": pl.Float64, "later_seasons": pl.Float64,
    "worth_usd": pl.Float64, "worth_low": pl.Float64, "worth_high": pl.Float64, "paid_back_seasons": pl.Float64,
}  # fmt: skip


def later_seasons(rate: float) -> float:
    """Seasons that follow the first on average, where each is followed by another with the chance `rate`: r / (1 - r),
    the mean of a geometric distribution; without bound at 1.
    """
    return rate / (1 - rate) if rate < 1 else float("inf")


def seasons_to_pay_back(first_left: float, goods: float, later_left: float) -> float | None:
    """Seasons until what a job leaves has paid for goods that are still carried after its first season, usd.

    1 where the first season does; None where the later ones never do.
    """
    owing = goods - first_left
    if owing <= 0:
        return 1.0
    return 1 + owing / later_left if later_left > 0 else None


def return_counts(properties: pl.DataFrame, season: int, terms: str) -> tuple[int, int]:
    """Properties of seasons before `season` that came back the next one, and those of which it is known.

    `properties` is facts.property_seasons of every season in the store; a property counts once a season.
    """
    past = properties.filter((pl.col("season") < season) & pl.col("returned").is_not_null())
    past = past.sort("season", "property_no", "branch").unique(["season", "property_no"], keep="first")
    own = past.filter(pl.col("terms") == terms)
    return int(own["returned"].sum()), own.height


def _means(jobs: pl.DataFrame) -> tuple[int, float, float, float]:
    """Jobs, and what one was charged, cost and carries into later seasons on average, usd."""
    money = [float(jobs[name].cast(pl.Float64).fill_null(0).sum()) for name in ("invoiced_usd", "total_usd",
                                                                               "capitalised_usd")]  # fmt: skip
    count = max(1, jobs.height)
    return jobs.height, money[0] / count, money[1] / count, money[2] / count


def renewals(
    jobs: pl.DataFrame, properties: pl.DataFrame, settings: Settings, *, season: int
) -> tuple[pl.DataFrame, list[str]]:
    """Rows of decisions.renewals by terms, and notes. `jobs` is measures.job_cost of the season.

    What a season leaves is charged less cost, overhead within it. Goods that are still carried after the first season
    are paid for at once and borne by the later ones. worth = first + later seasons x later;
    its limits are those of the return rate alone (Clopper and Pearson 1934). Neither is discounted.
    """
    from pipeline.statistics.intervals import clopper_pearson_limits

    whole = jobs.filter((pl.col("feet") > 0) & pl.col("is_final"))
    rows, notes = [], []
    given = settings.number("return_rate")
    for terms in ("leased", "sold"):
        first = _means(whole.filter((pl.col("terms") == terms) & (pl.col("work") == "new")))
        later = _means(whole.filter((pl.col("terms") == terms) & (pl.col("work") == "repeat")))
        if min(first[0], later[0]) < MIN_JOBS_FOR_PRICE:
            if first[0] + later[0]:
                notes.append(
                    f"First and later seasons on {terms} goods are not compared: {first[0]} new and {later[0]} repeat "
                    f"jobs are final, and each needs {MIN_JOBS_FOR_PRICE}."
                )
            continue
        returned, seen = return_counts(properties, season, terms)
        rate, low, high = (None, None, None)
        if seen:
            rate = returned / seen
            low, high = clopper_pearson_limits(returned, seen)
        elif given is not None:
            rate = float(given)
        first_left, later_left = first[1] - first[2], later[1] - later[2]
        worth = [None if at is None else first_left + later_left * later_seasons(at) for at in (rate, low, high)]
        ends = sorted(end for end in worth[1:] if end is not None)
        paid = seasons_to_pay_back(first_left, first[3], later_left)
        rows.append(
            {
                "season": season + 1, "terms": terms, "first_jobs": first[0], "first_charged_usd": first[1],
                "first_cost_usd": first[2], "first_goods_usd": first[3], "later_jobs": later[0],
                "later_charged_usd": later[1], "later_cost_usd": later[2], "returned": returned if seen else None,
                "seen": seen or None, "return_rate": rate, "low": low, "high": high,
                "later_seasons": None if rate is None else later_seasons(rate), "worth_usd": worth[0],
                "worth_low": ends[0] if ends else None, "worth_high": ends[-1] if ends else None,
                "paid_back_seasons": paid if first[3] > 0 else None,
            }
        )  # fmt: skip
    if rows and rows[0]["return_rate"] is None:
        notes.append("How many properties return is not known: close an earlier season as well, or give return_rate.")
    return pl.DataFrame(rows, schema=RENEWALS), notes
