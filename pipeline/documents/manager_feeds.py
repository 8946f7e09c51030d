"""Feeds and circuits in the manager's report: what passes a limit, where to split, how far a feed goes."""

from __future__ import annotations

from pipeline.decisions.policy import LONGEST_DAYS_UP, NOTED_DROP_SHARE
from pipeline.documents import manager_feeds_tables as tables
from pipeline.documents import wording
from pipeline.documents.build import counted, listed, missing, note
from pipeline.documents.formats import show
from pipeline.documents.model import Axis, Block, Chart, Figure, Point, Section, Series, Source, Text, join, say
from pipeline.documents.results import Results

_LOADS = Source("measures.feed_loads")
_BANDS = ((0.25, "up to 25 %"), (0.5, "25 to 50 %"), (0.75, "50 to 75 %"), (1.0, "75 to 100 %"), (1.25, "100 to 125 %"))
_ABOVE = "over 125 %"


def feed_sections(results: Results) -> tuple[Section, ...]:
    """The section on feeds and circuits."""
    return (Section("feeds", "Feeds and circuits", _blocks(results)),)


def feed_methods(results: Results) -> tuple[str, ...]:
    """How loads and drops are computed, where there are any."""
    return (wording.FEED_METHOD, wording.DROP_METHOD) if results.rows("measures.feed_loads") else ()


def feed_pictures(results: Results) -> tuple[Chart, ...]:
    """Feeds by how much of their nearest limit they use."""
    feeds = [r for r in results.rows("measures.feed_loads") if r["used_share"] is not None]
    if not feeds:
        return ()
    count: dict[str, int] = dict.fromkeys([*(word for _, word in _BANDS), _ABOVE], 0)
    for feed in feeds:
        count[next((word for most, word in _BANDS if feed["used_share"] <= most), _ABOVE)] += 1
    points = tuple(
        Point(f"band_{place}", word, number, role="plain" if place < len(_BANDS) - 1 else "bad")
        for place, (word, number) in enumerate(count.items())
    )
    chart = Chart(
        "feeds_by_load", "columns", _finding(results), Axis("feeds", "feeds", "count"), "share of the nearest limit",
        (Series("feeds", "Feeds", points),), "feeds by the largest of feet, sockets and watts over its limit",
        Source("measures.feed_loads", f"season={results.season}"),
    )  # fmt: skip
    return (chart,)


def loaded_figure(results: Results) -> Figure | None:
    """How many feeds pass a limit; None where no feed was named."""
    feeds = results.rows("measures.feed_loads")
    if not feeds:
        return None
    return Figure(
        "feeds_over", "feeds pass a limit of feet, sockets or watts", sum(bool(r["is_over"]) for r in feeds), "count",
        "feeds", "feeds whose feet, sockets or watts are more than the limit; on it is inside",
        Source(_LOADS.table, f"season={results.season}"),
    )  # fmt: skip


def feed_sentence(results: Results) -> Text | None:
    """What to do about feeds, for the head of the page; None where none passes a limit."""
    over = loaded_figure(results)
    if over is None or not over.value:
        return None
    return say("{} a limit and should be split.", counted(over, "feed passes", "feeds pass"))


def _finding(results: Results) -> Text:
    over = loaded_figure(results)
    assert over is not None
    number = len(results.rows("measures.feed_loads"))
    feeds = Figure("feeds", "feeds", number, "count", "feeds", "supply plugs that runs name", _LOADS)
    if not over.value:
        return say("{} within the limits", counted(feeds, "feed is", "feeds are all"))
    return say("{} of {} a limit", over, counted(feeds, "feed passes", "feeds pass"))


def _blocks(results: Results) -> tuple[Block, ...]:
    first = note(wording.FEED_FIRST, "caution")
    if not results.rows("measures.feed_loads"):
        return (first, missing(wording.NO_FEEDS), *_days(results))
    split = tables.split_table(results)
    reach = tables.reach_table(results)
    return (
        first,
        note(_limits(results)),
        *((split,) if split else ()),
        *(note(sentence) for sentence in results.said("feeds")),
        *_faults(results),
        *((reach,) if reach else ()),
        *_unknown(results),
        *_drops(results),
        *_circuits(results),
        *_days(results),
    )


def _limits(results: Results) -> Text:
    """Which limits were held against the feeds, and where each comes from."""
    settings = results.settings.rows()
    origin = {row["setting"]: row["origin"] for row in settings}
    known: list[Text] = []
    for name, unit in (("feed_feet", "ft"), ("feed_sockets", "sockets"), ("feed_watts", "W")):
        limit = results.settings.number(name)
        if limit:
            source = "as the settings say" if origin[name] == "given" else str(origin[name])
            value = Figure(f"{name}.limit", f"limit of {unit}", limit, "quantity", unit, f"the setting {name}",
                           Source("reference.settings", f"season={results.season}, setting={name}"))  # fmt: skip
            known.append(say("{} " + unit + " (" + source + ")", value))
    words = say("{}.", _finding(results))
    if known:
        words = join(words, say("A feed is held to {}", known[0]))
        for more in known[1:]:
            words = say("{}{}{}", words, " and " if more is known[-1] else ", ", more)
        words = say("{}.", words)
    if not results.settings.number("feed_watts"):
        words = join(words, "No limit of watts is set: take it from the maker's label, as the setting feed_watts.")
    return words


def _faults(results: Results) -> tuple[Block, ...]:
    row = results.row("decisions.feed_faults")
    if row is None or row["ratio"] is None:
        return ()
    source = Source("decisions.feed_faults", f"season={results.season}")
    ratio = Figure("feed_faults.ratio", "faults of houses with a loaded feed / of the others", row["ratio"], "ratio",
                   "ratio", "failed points a connection-night of houses with a feed over a limit / of the others",
                   source, row["low"], row["high"])  # fmt: skip
    jobs = Figure("feed_faults.loaded_jobs", "houses with a loaded feed", row["loaded_jobs"], "count", "houses",
                  "houses with a feed over a limit", source)  # fmt: skip
    between = f" ({ratio.shown_interval})" if ratio.shown_interval else f" ({ratio.low:.2f} or more)"
    houses = counted(jobs, "house with a loaded feed had", "houses with a loaded feed had")
    said = say("{} {} times the faults of the rest at their connections, night for night{}: ", houses, ratio, between)
    if row["low"] > 1:
        end = "more than chance gives. Larger houses differ in other ways too, so splitting may not mend all of it."
    elif row["high"] is not None and row["high"] < 1:
        end = "fewer than chance gives. That is no reason to load a feed more: the label and the code set the limit."
    else:
        end = "they cannot be told from the rest. That is no reason to leave a feed over its limit."
    return (note(say("{}{}", said, end)),)


def _unknown(results: Results) -> tuple[Block, ...]:
    runs = results.rows("facts.feed_runs")
    lost = sum(r["feed"] is None for r in runs)
    dark = sum(r["watts"] is None for r in results.rows("measures.feed_loads"))
    out: list[Block] = []
    if lost:
        count = Figure("runs_without_feed", "runs that name no feed", lost, "count", "runs", "runs whose feed is blank",
                       Source("facts.feed_runs", f"season={results.season}"))  # fmt: skip
        said = counted(count, "run names no feed and is", "runs name no feed and are")
        out.append(missing(say("{} on no feed's load.", said)))
    if dark:
        count = Figure("feeds_without_watts", "feeds of unknown watts", dark, "count", "feeds",
                       "feeds on which a bulb's watts are not known",
                       Source(_LOADS.table, f"season={results.season}"))  # fmt: skip
        said = counted(count, "feed has", "feeds have")
        out.append(
            missing(say("{} bulbs without watts in items, so the watts, amps and voltage drop are not known.", said))
        )
    return tuple(out)


def _drops(results: Results) -> tuple[Block, ...]:
    feeds = [r for r in results.rows("measures.feed_loads") if r["drop_share"] is not None]
    if not feeds:
        return ()
    worst = max(feeds, key=lambda r: r["drop_share"])
    share = Figure(
        "feeds.largest_drop", "largest drop at a far end", worst["drop_share"], "share", "of the voltage",
        "volts lost at the far end with lamps evenly spread / volts",
        Source(_LOADS.table, f"season={results.season}, branch={worst['branch']}, job_no={worst['job_no']}, "
               f"feed={worst['feed']}"),
    )  # fmt: skip
    many = sum(r["drop_share"] > NOTED_DROP_SHARE for r in feeds)
    number = Figure("feeds.noted_drops", "feeds with a large drop", many, "count", "feeds", "feeds that lose more than "
                    "3 % at the far end", Source(_LOADS.table, f"season={results.season}"))  # fmt: skip
    said = say("At the far end of a feed at most {} of the voltage is lost (job {}, feed {})", share,
               str(worst["job_no"]), str(worst["feed"]))  # fmt: skip
    noted = show(NOTED_DROP_SHARE, "percent")
    if not many:
        return (note(say("{}, within the {} that the code's note to 210.19(A) recommends.", said, noted)),)
    end = counted(number, "feed loses", "feeds lose")
    return (note(say("{}; {} more than the {} that the code's note to 210.19(A) recommends.", said, end, noted)),)


def _circuits(results: Results) -> tuple[Block, ...]:
    rows = [r for r in results.rows("measures.circuit_loads") if r["used_share"] is not None]
    if not rows:
        return (missing("What the lights draw on a circuit is not known: it takes runs, and watts of every bulb."),)
    over = tables.circuit_table(results)
    named = any(r["circuit"] is not None for r in rows)
    most = max(rows, key=lambda r: r["used_share"])
    source = Source("measures.circuit_loads", f"season={results.season}, branch={most['branch']}, "
                    f"job_no={most['job_no']}")  # fmt: skip
    watts = Figure("circuits.most_watts", "most watts on a circuit", most["watts"], "quantity", "W",
                   "watts of the lights on the circuit", source)  # fmt: skip
    limit = Figure("circuits.watts_limit", "80 % of the breaker", most["watts_limit"], "quantity", "W",
                   "80 % of breaker_amps x line_volts (NEC 210.20(A))", source)  # fmt: skip
    if named:
        said = say(
            "The most that lights draw on one circuit is {} W, of {} W that 80 % of its breaker allows.", watts, limit
        )
    else:
        said = say("No run names its circuit. Were all the lights of a house on one, the largest would draw {} W, of "
                   "{} W that 80 % of its breaker allows.", watts, limit)  # fmt: skip
    return (note(join(said, wording.CIRCUIT_REST)), *((over,) if over else ()))


def _days(results: Results) -> tuple[Block, ...]:
    rows = results.rows("measures.installation_days")
    if not rows:
        return ()
    source = Source("measures.installation_days", f"season={results.season}")
    long = [r for r in rows if r["days_up"] is not None and r["days_up"] > LONGEST_DAYS_UP]
    count = Figure("long_installations", "installations over 90 days", len(long), "count", "jobs",
                   "days from installation to takedown over 90", source)  # fmt: skip
    rule = (
        f"the {LONGEST_DAYS_UP} days that temporary holiday lighting may hang (NEC 590.3(B); local code may say less)"
    )
    jobs = sorted(long, key=lambda r: (-r["days_up"], str(r["branch"]), str(r["job_no"])))
    out: list[Block] = []
    if long:
        shown = [f"{r['job_no']} in {r['branch']} ({r['days_up']} days)" for r in jobs[: tables.MOST_LISTED]]
        rest = "" if len(jobs) <= tables.MOST_LISTED else ", and others in measures.installation_days"
        said = counted(count, "installation hung", "installations hung")
        out.append(note(say("{} longer than {}: {}{}.", said, rule, listed(shown), rest), "caution"))
    elif any(r["days_up"] is not None for r in rows):
        out.append(note(f"No installation that was taken down hung longer than {rule}."))
    up = sum(r["days_up"] is None for r in rows)
    if up:
        open_jobs = Figure(
            "still_up", "jobs without a takedown", up, "count", "jobs", "jobs with no takedown date", source
        )
        out.append(missing(say("{} no takedown date, so the days that the lights hung are not known.",
                               counted(open_jobs, "job has", "jobs have"))))  # fmt: skip
    return tuple(out)
