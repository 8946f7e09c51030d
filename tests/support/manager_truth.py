"""The demo's truth as a judge of what the manager's page says: one function a kind of sentence."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from math import comb, exp, log
from typing import Any

import polars as pl
from support.demo import SEASONS, checked, closed, truth

from pipeline.warehouse import open_store

Match = re.Match[str]
Judge = Callable[[Match, int], bool]
NEAR = 1e-9
CREW = r"[A-Z][a-z]+ \([A-Z][a-z]+\)"
KIND = r"inline tap|splice|cord joint|plug|timer|taped socket|capped socket"


@cache
def read(name: str) -> pl.DataFrame:
    with open_store(closed() / "perfoot.duckdb", read_only=True) as store:
        return store.read(name)


def rows(name: str, season: int, **where: object) -> list[dict[str, Any]]:
    found = read(name).filter(pl.col("season") == season).to_dicts()
    return [row for row in found if all(row[key] == value for key, value in where.items())]


def accepted(table: str, season: int) -> list[dict[str, Any]]:
    return checked(season).records[table].to_dicts()


@cache
def true_pace(crew: str) -> float:
    """Hours over those of the average crew of its branch on any house, prep aside: above 1 is slower."""
    name = crew.split(" (")[0]
    crews = truth()["crews"]
    own = next(c for c in crews if c["name"] == name)
    peers = [log(c["skill"]) for c in crews if c["branch"] == own["branch"]]
    return float(own["skill"] / exp(sum(peers) / len(peers)))


def crews_in(words: str) -> list[str]:
    return re.findall(CREW, words)


def all_of(words: str, slower: bool) -> bool:
    crews = crews_in(words)
    return bool(crews) and all((true_pace(crew) > 1) == slower for crew in crews)


def true_rate(word: str, season: int) -> float:
    """Failed points per 1,000 connection-nights of a kind that came true, whether or not their calls name a kind."""
    return float(truth()["realized"][str(season)]["failed_per_1000_connection_nights"][word.replace(" ", "_")])


def stated_rate(word: str) -> float:
    return float(truth()["faults"]["per_1000"][word.replace(" ", "_")])


def kinds_in(words: str) -> list[str]:
    return re.findall(KIND, words)


def failed_most(found: Match, season: int) -> bool:
    """All kinds that it is told from fail less, by the stated truth; and the cause beside it is that of the rows."""
    rest = set(truth()["faults"]["per_1000"]) - {k.replace(" ", "_") for k in kinds_in(found["alike"])}
    rest -= {found["kind"].replace(" ", "_")}
    below = all(stated_rate(kind.replace("_", " ")) < stated_rate(found["kind"]) for kind in rest)
    return below and (found["cause"] is None or cause_share(found["cause"], found["share"], season))


def cause_share(cause: str, share: str, season: int) -> bool:
    calls = accepted("service_calls", season)
    own = sum(call["cause"] == cause.casefold().replace(" ", "_") for call in calls)
    return near(share, 100 * own / len(calls), 0.05)


def near(words: str, value: float, off: float) -> bool:
    return abs(float(words.replace(",", "")) - value) <= off + NEAR


@cache
def true_multiplier(term: str, season: int) -> float:
    """Hours of the season's houses with a thing over without it, by the truth's own sums; the geometric mean."""
    says = truth()["hours"]

    def hours(job: dict[str, Any], surface: str | None, stories: int, slope: float, work: str) -> float:
        feet, steep = float(job["feet"]), max(0.0, slope - says["steep_above"])
        shares = (
            {name: float(job[f"share_{name}"] or 0) for name in says["per_ft"]} if surface is None else {surface: 1.0}
        )
        total = sum(
            feet * share * says["per_ft"][name]
            * (1 + (says["steep_rate"] * steep ** says["steep_power"] if name in ("shingle", "ridge") else 0))
            for name, share in shares.items()
        )  # fmt: skip
        hung = says["set_up"] + total * says["story_factor"][str(stories)]
        hung *= says["repeat_factor"] if work == "repeat" else 1.0
        return float(hung + says["prep_set_up"] + feet * says[f"prep_per_ft_{work}"])

    logs = []
    for job in rows("facts.job_hours", season):
        if not job["feet"] or job["share_gutter"] is None or job["slope"] is None or not job["stories"]:
            continue
        slope, stories = float(job["slope"]), job["stories"]
        usual = (None, stories, slope, job["work"])
        pair = {
            "story_2": ((None, 2, *usual[2:]), (None, 1, *usual[2:])),
            "story_3": ((None, 3, *usual[2:]), (None, 2, *usual[2:])),
            "steep": ((None, stories, 10.0, job["work"]), (None, stories, 6.0, job["work"])),
            "repeat": ((*usual[:3], "repeat"), (*usual[:3], "new")),
        }.get(term, ((term.removeprefix("on_"), *usual[1:]), ("gutter", *usual[1:])))
        logs.append(log(hours(job, *pair[0]) / hours(job, *pair[1])))
    return exp(sum(logs) / len(logs))


def slow(found: Match, season: int) -> bool:
    """The truth takes more hours too, and lies within the interval that is printed."""
    row = next(
        r for r in rows("decisions.hours_multipliers", season) if r["what"].casefold() == found["what"].casefold()
    )
    true = true_multiplier(row["term"], season)
    return true > 1 and float(found["low"]) <= true <= float(found["high"])


def dearest(found: Match, season: int) -> bool:
    """What the kind's true rate costs, at the season's cost of a fault, is within its limits, and what is printed."""
    row = rows("decisions.connection_price", season, kind=found["kind"].replace(" ", "_"))[0]
    kind = rows("measures.connection_failures", season, branch="all", kind=row["kind"])[0]
    true = row["failure_usd"] * true_rate(found["kind"], season) / kind["per_1000_connection_nights"]
    return row["low"] <= true <= row["high"] and near(found["usd"], row["failure_usd"], 0.005)


def feeds(season: int) -> tuple[int, int]:
    """Feeds over 250 ft or 200 sockets, and all feeds, from the rows."""
    loads: dict[tuple[str, str, str], list[float]] = {}
    for run in accepted("runs", season):
        if run["feed"] is not None:
            load = loads.setdefault((run["branch"], run["job_no"], run["feed"]), [0.0, 0.0])
            load[0] += float(run["feet"])
            load[1] += run["sockets"]
    return sum(feet > 250 or sockets > 200 for feet, sockets in loads.values()), len(loads)


def gaps(found: Match, season: int) -> bool:
    """Each way that is said to cost least does so at the rates that came true, over every gap that is named."""
    ways = {"sockets capped": "cap", "a cut and a jumper": "cut", "sockets removed and sealed": "seal"}
    made = {"cap": "capped socket", "cut": "plug", "seal": "taped socket"}
    table = [r for r in rows("decisions.gap_crossings", season) if near(found["spacing"], r["spacing_in"], 0)]
    rates = {
        r["kind"]: r["per_1000_connection_nights"] for r in rows("measures.connection_failures", season, branch="all")
    }
    for part in found["parts"].split("; "):
        span = re.fullmatch(
            r"(?:at (\d+) ft|from (\d+) ft to (\d+) ft) (?:it is too close to call|(.*) cost least)", part
        )
        if not span:
            return False
        first, last = int(span[1] or span[2]), int(span[1] or span[3])
        for gap in range(first, last + 1, 2) if span[4] else ():
            cost = {
                r["way"]: r["goods_usd"] + r["labor_usd"]
                + r["failure_usd"] * true_rate(made[r["way"]], season) / rates[made[r["way"]].replace(" ", "_")]
                for r in table if r["gap_ft"] == gap
            }  # fmt: skip
            if ways[span[4]] != min(cost, key=cost.__getitem__):
                return False
    return True


def task_share(found: Match, season: int) -> bool:
    by_task: dict[str, float] = {}
    for row in rows("measures.task_hours", season):
        by_task[row["task"]] = by_task.get(row["task"], 0.0) + float(row["hours"])
    task = found["task"].casefold().replace(" ", "_")
    return near(found["share"], 100 * by_task[task] / sum(by_task.values()), 0.05) and task == max(
        by_task, key=by_task.__getitem__
    )


def pairs(found: Match, season: int) -> bool:
    """As many pairs as the truth's branches have, as many told as the table holds, and each of those the right way."""
    table = rows("decisions.crew_contrasts", season)
    told = [row for row in table if row["told_apart"]]
    places = [c["branch"] for c in truth()["crews"]]
    whole = sum(comb(places.count(branch), 2) for branch in set(places))
    right = all((row["ratio"] < 1) == (true_pace(row["crew"]) < true_pace(row["other_crew"])) for row in told)
    return (int(found["all"]), int(found["told"])) == (whole, len(told)) and right


def unknown_kinds(found: Match, season: int) -> bool:
    """The share of points without a kind is the truth's .17, within three binomial errors of calls of 1.3 points."""
    points, share = int(found["points"]), float(found["share"]) / 100
    true, whole = truth()["faults"]["kind_blank_share"], points / share
    return abs(share - true) < 3 * (true * (1 - true) / whole) ** 0.5 * 1.3**0.5


def pace_kept(found: Match, season: int) -> bool:
    """By the truth a crew hangs as fast in each season: that a change cannot be told is so, that one can is not."""
    return found["sure"] is None


def faults_moved(found: Match, season: int) -> bool:
    """Where a change is told, the kinds' true rates moved that way."""
    if found["sure"] is None:
        return True
    before, now = (
        sum(truth()["realized"][str(s)]["failed_per_1000_connection_nights"].values()) for s in (season - 1, season)
    )
    return (now > before) == (found["sure"] == "more")


def scatter_of_jobs(found: Match, season: int) -> bool:
    """Hidden difficulty .20 and weather .08 act on hanging, about four fifths of the hours: .17 to .22 of them; the
    crews' skills spread by .12 about their branches, less the prep that all do alike."""
    crews = [log(true_pace(c["name"])) for c in truth()["crews"]]
    apart = (sum(x * x for x in crews) / (len(crews) - 2)) ** 0.5
    return 0.15 <= float(found["jobs"]) / 100 <= 0.25 and 0.5 * apart <= float(found["crews"]) / 100 <= 1.5 * apart


def wild(season: int) -> list[dict[str, Any]]:
    return [r for r in rows("decisions.crew_jobs", season) if abs(r["score"]) > 3.5]


def model(what: str, season: int) -> float:
    return float(rows("decisions.crew_model", season, what=what)[0]["value"])


def began_before(found: Match, season: int) -> bool:
    first = {job["crew"] for job in accepted("jobs", SEASONS[0])}
    return {job["crew"] for job in accepted("jobs", season)} <= first


def true(found: Match, season: int) -> bool:
    """So by the truth itself: failures have luck of their own job, no week and no feed has a part in them."""
    return truth()["faults"]["luck_shape"] < 10


def never(found: Match, season: int) -> bool:
    """Not so by the truth, whoever is named."""
    return False


def weeks(found: Match, season: int) -> bool:
    """By the truth no week has more failures; a job's last four nights have no call, and those lie in January."""
    named = re.findall(r"that of \d+ (\w+) \d+ \((more|fewer)\)", found["weeks"])
    return bool(named) and all((month, way) == ("Jan", "fewer") for month, way in named)


def told_count(season: int) -> int:
    table = rows("decisions.connection_ratios", season)
    assert all(
        stated_rate(r["kind"].replace("_", " ")) > stated_rate(r["other"].replace("_", " "))
        for r in table
        if r["told_apart"]
    )
    return sum(not row["told_apart"] for row in table)


def no_takedown(season: int) -> int:
    return sum(job["takedown_date"] is None for job in accepted("jobs", season))


def raw_pace(season: int) -> float:
    found = [r for r in rows("measures.crew_hours", season) if r["feet"]]
    return 100 * float(sum(r["prep_hours"] + r["install_hours"] for r in found) / sum(r["feet"] for r in found))


def counted_rate(season: int) -> float:
    return float(
        rows("measures.connection_failures", season, branch="all", kind="all")[0]["per_1000_connection_nights"]
    )


def most_changed(season: int, crew: str | None = None) -> float:
    found = [r for r in rows("decisions.crew_comparison", season) if r["without_wild_ratio"] is not None]
    return max(abs(r["without_wild_ratio"] - r["ratio"]) for r in found if crew in (None, r["crew"]))


def long_hung(season: int) -> int:
    jobs = [job for job in accepted("jobs", season) if job["takedown_date"] is not None]
    return sum((job["takedown_date"] - job["install_date"]).days > 90 for job in jobs)


def largest_watts(season: int) -> float:
    return max(float(r["watts"] or 0) for r in rows("measures.circuit_loads", season))
