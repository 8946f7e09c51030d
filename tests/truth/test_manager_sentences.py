"""Every sentence of the manager's page on the demo, held against the truth that the demo was made from.

Each sentence must be one that is known here, and true: by the stated truth where it says something of crews, houses or
connections, by the rows as they were accepted where it says what happened. Turned round, it must be found false.
"""

from __future__ import annotations

import html
import re
from functools import cache

import pytest
from support import manager_truth as by
from support.demo import SEASONS, closed
from support.manager_truth import CREW, KIND, Judge

from pipeline.documents import crew_sheet, manager_crews, wording


@cache
def paragraphs(season: int) -> tuple[tuple[str, str], ...]:
    """Sections and what they say: lead, titles of pictures, notes and footnotes, without the values of the pictures."""
    text = (closed() / "reports" / str(season) / "manager.html").read_text(encoding="utf-8")
    body = re.sub(r"<svg.*?</svg>", " ", text[text.index("<main") :], flags=re.S)
    out, section = [], "lead"
    for found in re.finditer(r'<section id="(\w+)"|<(figcaption|p)(?: class="([^"]*)")?>(.*?)</\2>', body, flags=re.S):
        section = found[1] or section
        if found[2]:
            words = re.sub(r"<[^>]+>", "", found[4])
            out.append((section, re.sub(r"\s+", " ", html.unescape(words)).strip()))
    return tuple((section, words) for section, words in out if section not in ("method", "words"))


@cache
def said_always() -> frozenset[str]:
    """Sentences that stand in a report whatever the season: cautions and methods say nothing of this one."""
    texts = [value for name, value in vars(wording).items() if name.isupper() and isinstance(value, str)]
    texts += [*manager_crews.CAUTIONS, *crew_sheet.DOS]
    return frozenset(sentence for text in texts for sentence in sentences(text))


def sentences(text: str) -> list[str]:
    """A paragraph's sentences without their full stops; `1926.1053` and `8.5` do not end one."""
    text = re.sub(r"^(Missing|Caution)\. ", "", text)
    return [part.rstrip(".") for part in re.split(r"(?<=[\w%)])\. (?=[A-Z0-9\N{EN DASH}])", text)]


KNOWN: tuple[tuple[str, Judge], ...] = (
    (
        rf"(?P<crew>{CREW}) took (?P<n>\d+) % more hours than the average crew would have on the same houses: "
        rf"see first "
        "what holds it up",
        lambda m, s: by.all_of(m["crew"], slower=True),
    ),
    (
        rf"On equal houses (?P<more>{CREW}.*?) took more hours than the average crew, (?P<fewer>{CREW}.*?) fewer",
        lambda m, s: by.all_of(m["more"], slower=True) and by.all_of(m["fewer"], slower=False),
    ),
    (
        rf"On equal houses (?P<crews>{CREW}.*?) took (?P<way>more|fewer) hours than the average crew",
        lambda m, s: by.all_of(m["crews"], slower=m["way"] == "more"),
    ),
    (
        rf"An? (?P<kind>{KIND}) failed most often this season, [\d.]+ per 1,000 connection-nights, but cannot be "
        rf"told from "
        r"(?P<alike>[a-z ,]+?)(?:; (?P<cause>[a-zA-Z ]+) is behind (?P<share>[\d.]+) % of the calls)?",
        by.failed_most,
    ),
    (
        r"(?P<cause>[A-Za-z ]+) is behind (?P<share>[\d.]+) % of the calls",
        lambda m, s: by.cause_share(m["cause"], m["share"], s),
    ),
    (r"(?P<n>\d+) feeds? pass(?:es)? a limit and should be split", lambda m, s: int(m["n"]) == by.feeds(s)[0]),
    (r"(?P<n>\d+) of (?P<all>\d+) feeds pass a limit", lambda m, s: (int(m["n"]), int(m["all"])) == by.feeds(s)),
    (r"(?P<what>.+) takes [\d.]+ times the hours \((?P<low>[\d.]+) to (?P<high>[\d.]+)\), all else equal", by.slow),
    ("No week had more failures, or fewer, than chance gives", by.true),
    (r".*beyond what chance gives: (?P<weeks>.*)", by.weeks),
    (rf"One more (?P<kind>{KIND}) brings \$(?P<usd>[\d.]+) of repairs a season", by.dearest),
    (r"(?P<task>[A-Z][a-z ]+) takes (?P<share>[\d.]+) % of all paid hours", by.task_share),
    (
        r"Of (?P<all>\d+) pairs of crews, (?P<told>\d+) can be told apart; the order of the others is not known",
        by.pairs,
    ),
    (r"Faults come in clusters on jobs: .*", by.true),
    (r"Failures of a kind come in clusters on jobs .*", by.true),
    (r"Failures of a kind spread over jobs .*", by.true),
    (
        r"What crews gain with practice cannot be told from one season: no crew's start is in it",
        lambda m, s: s == SEASONS[0],
    ),
    (r"What crews gain with practice cannot be told: every crew of the season worked .*", by.began_before),
    (r"With practice .* took fewer hours a foot on equal houses", by.never),
    (
        r"(?P<points>\d+) failed points have no known kind, (?P<share>[\d.]+) % of all: the rate of all kinds is "
        r"(?P<low>[\d.]+) if none of them was at a connection and (?P<high>[\d.]+) if all of them were",
        by.unknown_kinds,
    ),
    (r"(?P<n>\d+) other pairs? of kinds cannot be told apart", lambda m, s: int(m["n"]) == by.told_count(s)),
    (
        r"Of (?P<all>\d+) failed points, (?P<n>\d+) (?:was|were) on a job's later call for the same kind: at "
        r"most so many "
        r"failed again, (?:at least (?P<least>\d+)|perhaps none), since the records name the kind and not the point",
        lambda m, s: int(m["least"] or 0) <= int(m["n"]) <= int(m["all"]),
    ),
    (
        r"A fault is counted at \$[\d.]+: the season's cost of service over (?P<n>\d+) failed points, at "
        r"connections or not",
        lambda m, s: int(m["n"]) == sum(call["points"] for call in by.accepted("service_calls", s)),
    ),
    (r"Line with a socket every (?P<spacing>\d+) in: (?P<parts>.*)", by.gaps),
    (r"(?P<n>\d+) houses with a loaded feed had .*: they cannot be told from the rest", by.true),
    (r"(?P<n>\d+) houses with a loaded feed had .*", by.never),
    (
        r"At the far end of a feed at most (?P<share>[\d.]+) % of the voltage is lost .*",
        lambda m, s: by.near(
            m["share"], 100 * max(r["drop_share"] or 0 for r in by.rows("measures.feed_loads", s)), 0.05
        ),
    ),
    (r"No run names its circuit", lambda m, s: all(run["circuit"] is None for run in by.accepted("runs", s))),
    (
        r"Were all the lights of a house on one, the largest would draw (?P<w>[\d,]+) W, of (?P<most>[\d,]+) W "
        r"that 80 % of its "
        "breaker allows",
        lambda m, s: by.near(m["most"], 0.8 * 15 * 120, 0) and by.near(m["w"], by.largest_watts(s), 0.5),
    ),
    (r"(?P<n>\d+) installations? hung longer than .*", lambda m, s: int(m["n"]) == by.long_hung(s)),
    (
        r"(?P<n>\d+) jobs? (?:has|have) no takedown date, so the days that the lights hung are not known",
        lambda m, s: int(m["n"]) == by.no_takedown(s),
    ),
    (
        r"Over (?P<n>\d+) jobs, two alike still differ by (?P<jobs>\d+) % of their hours as a rule, and crews by "
        r"(?P<crews>\d+) %",
        by.scatter_of_jobs,
    ),
    (
        r"(?P<n>\d+) jobs? (?:lies|lie) further off than two standard deviations and counts? as if at that bound, .*",
        lambda m, s: int(m["n"]) == sum(abs(r["score"]) > 2 for r in by.rows("decisions.crew_jobs", s)),
    ),
    (
        r"No single job moves its crew's ratio by more than (?P<share>[\d.]+) %",
        lambda m, s: by.near(m["share"], 100 * max(abs(r["moves"]) for r in by.rows("decisions.crew_jobs", s)), 0.05),
    ),
    (
        r"Jobs scatter evenly about the model, the small as the large; (?P<n>\d+|no) (?:wild )?jobs? lies? far off",
        lambda m, s: int(m["n"].replace("no", "0")) == len(by.wild(s)),
    ),
    (r"Without the wild jobs below no crew's ratio would change by 0.01", lambda m, s: by.most_changed(s) < 0.01),
    (
        rf"Without the wild jobs below, the ratio that changes most is that of (?P<crew>{CREW}), from [\d.]+ to [\d.]+",
        lambda m, s: by.most_changed(s) >= 0.01 and by.most_changed(s, m["crew"].split(" (")[0]) == by.most_changed(s),
    ),
    (
        r"The crews took (?P<now>[\d.]+) h/100 ft, after (?P<before>[\d.]+) h/100 ft in .*",
        lambda m, s: by.near(m["now"], by.raw_pace(s), 0.006) and by.near(m["before"], by.raw_pace(s - 1), 0.006),
    ),
    (
        r"(?:Whether on equal houses the same crews took more or fewer hours cannot be told|On equal houses the "
        r"same crews took "
        r"(?P<sure>.*?)): .*",
        by.pace_kept,
    ),
    (
        r"(?P<now>[\d.]+) points failed per 1,000 connection-nights, after (?P<before>[\d.]+)",
        lambda m, s: (
            by.near(m["now"], by.counted_rate(s), 0.006) and by.near(m["before"], by.counted_rate(s - 1), 0.006)
        ),
    ),
    (
        r"(?:Whether a connection failed more or less often cannot be told|A connection failed "
        r"(?P<sure>more|less) often): .*",
        by.faults_moved,
    ),
)
"""What the page may say of crews, houses and connections, and how each is judged."""
SAYS_NOTHING = (
    r"The season before's rates on this season's kinds of connection would have made it [\d.]+",
    r"None of \d+ changes is more than chance would make",
    "Shares of hours are counted and not held against chance: a season's weather is one draw",
    "The percentages beside the bars are the running share of all calls",
    r"Expected hours take out what the records hold of a house: .*",
    "What they do not hold, such as plants in the way, stays in the ratios",
    "Where two crews worked on a job, its hours stand with the crew that led it",
    "A chance is that of its pair alone; the column beside it counts every comparison of the season together",
    "Each failure counts: a mended point is at risk again",
    "Work on the house's own wiring belongs to a licensed electrician",
    r"A feed is held to 250 ft \(common practice, no source\) and 200 sockets \(common practice, no source\)",
    "No limit of watts is set: take it from the maker's label, as the setting feed_watts",
    r"Light line with a socket every \d+ in, over \d+ seasons",
    r"\d+ more places are in decisions.feeds_to_split",
    "That is no reason to leave a feed over its limit",
    "\N{EN DASH} A dash stands where the records handed in do not say; it is never a zero",
)
"""Sentences that explain a figure beside them, and settings."""


def judged(sentence: str, season: int) -> bool | None:
    """Whether a sentence is true; None where it is not known here."""
    for pattern, judge in KNOWN:
        found = re.fullmatch(pattern, sentence)
        if found:
            return judge(found, season)
    known = sentence in said_always() or any(re.fullmatch(pattern, sentence) for pattern in SAYS_NOTHING)
    return True if known else None


def on_page(season: int) -> list[str]:
    return [
        sentence for _, words in paragraphs(season) for sentence in sentences(words.replace("\N{NO-BREAK SPACE}", " "))
    ]


@pytest.mark.parametrize("season", SEASONS)
def test_every_sentence_of_the_page_is_known_and_true(season: int) -> None:
    verdicts = {sentence: judged(sentence, season) for sentence in on_page(season)}
    assert len(verdicts) > 30
    assert [sentence for sentence, verdict in verdicts.items() if verdict is None] == []
    assert [sentence for sentence, verdict in verdicts.items() if not verdict] == []


TURNED = (
    (r"^Lynx(?= \(Tarnholt\) took)", "Marten"),
    (r"(?<=houses )Lynx \(Tarnholt\) and Badger", "Lynx (Tarnholt) and Heron"),
    (r"^An inline tap(?= failed most often)|^A splice(?= failed most often)", "A capped socket"),
    (r"from a splice, a cord joint, a plug or a timer", "from a taped socket"),
    (r"^Masonry(?= in place of)|^Ridge(?= in place of)", "Ground"),
    (
        "^No week had more failures, or fewer, than chance gives",
        "One week lies beyond what chance gives: that of 7 Dec 2025 (more)",
    ),
    (r"(?<=^One more )[a-z ]+(?= brings)", "capped socket"),
    (r"(?<=^Of )6(?= pairs)", "7"),
    (r"\d+(?= other pairs of kinds)", "3"),
    (
        r"from (\d+) ft to 20 ft (?:it is too close to call|a cut and a jumper cost least)",
        r"from \1 ft to 20 ft sockets removed and sealed cost least",
    ),
    (r"they cannot be told from the rest", "beyond what chance gives"),
    (r"(?<=^Over )(\d+)( jobs, two alike still differ by )\d+", r"\g<1>\g<2>60"),
    (r"\d+(?= feeds pass a limit and)", "3"),
    (
        r"^Whether on equal houses the same crews took more or fewer hours cannot be told",
        "On equal houses the same crews took fewer hours",
    ),
    (r"[\d.]+(?= % of all paid hours)", "90.0"),
    (r"[\d.]+(?= % of the calls$)", "61.3"),
)
"""What a sentence says, and what would make it false."""


@pytest.mark.parametrize(("said", "instead"), TURNED)
def test_a_sentence_that_is_turned_round_is_found_to_be_false(said: str, instead: str) -> None:
    """At least one sentence of the last season is changed by it, and each that is changed is judged false."""
    season = SEASONS[-1]
    turned = {re.sub(said, instead, sentence) for sentence in on_page(season)} - set(on_page(season))
    assert turned
    assert [sentence for sentence in turned if judged(sentence, season) is not False] == []


def test_a_sentence_that_nobody_knows_does_not_pass() -> None:
    assert judged("Heron is the best crew of the county", SEASONS[-1]) is None
