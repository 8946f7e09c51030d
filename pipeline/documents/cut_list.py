"""A cut list as it is read at the bench: spool by spool, what is left over, and how near the plan is to the best."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from pipeline.decisions.spools_cut import LineCut, name_of
from pipeline.decisions.spools_line import to_feet
from pipeline.documents.build import listed
from pipeline.statistics.cutting_plan import Cut

EIGHTHS = 8
INCHES = 12


def feet_and_inches(feet: float) -> str:
    """A length as on a tape, to the eighth of an inch: `120' 6 1/2"`."""
    eighths = round(feet * INCHES * EIGHTHS)
    inches, part = divmod(eighths, EIGHTHS)
    whole, inch = divmod(inches, INCHES)
    out_of = EIGHTHS
    while part and part % 2 == 0:
        part, out_of = part // 2, out_of // 2
    fraction = f" {part}/{out_of}" if part else ""
    return f"{whole}' {inch}{fraction}\"" if inch or part else f"{whole}'"


def _amount(line: LineCut, value: float) -> str:
    return f"${value:,.2f}" if line.has_prices else f"{value:,.1f} ft of spools"


def bought_words(line: LineCut) -> str:
    """The spools to take: `2 spools of 500 ft and 1 of 100 ft`."""
    taken = [(n, s.size_ft) for n, s in zip(line.plan.bought, line.spools, strict=True) if n]
    said = [f"{n} {'of' if at else ('spool of' if n == 1 else 'spools of')} {size:g} ft"
            for at, (n, size) in enumerate(taken)]  # fmt: skip
    return listed(said)


def verdict(line: LineCut) -> str:
    """How near the plan is to the best, in a sentence."""
    verb = "cost" if line.has_prices else "take"
    if line.plan.is_proven:
        return f"No plan {verb}s less."
    return (
        f"No plan can {verb} less than {_amount(line, line.bound)}; this one is at most {line.plan.gap * 100:.1f} % "
        "above that."
    )


def pieces_of(line: LineCut, cut: Cut) -> list[tuple[float, int]]:
    """Feet and number of the pieces of one spool, the longest first."""
    return [
        (to_feet(length, line.unit_in), number)
        for length, number in zip(line.plan.lengths, cut.pieces, strict=True)
        if number
    ]


def numbered(line: LineCut) -> Iterator[tuple[str, Cut]]:
    """The cuts with the numbers of their spools: `Spool 1`, `Spools 2 to 5`."""
    first = 1
    for cut in line.plan.cuts:
        last = first + cut.times - 1
        yield (f"Spool {first}" if cut.times == 1 else f"Spools {first} to {last}"), cut
        first = last + 1


def _left(line: LineCut, cut: Cut) -> str:
    left = line.left_ft(cut)
    if left < 1 / (INCHES * EIGHTHS):
        return "nothing left"
    return f"{feet_and_inches(left)} left, {'keep it' if left >= line.keep_ft else 'offcut'}"


def title_of(line: LineCut) -> str:
    """A line's heading: `12 in, green: 33 pieces, 1,034.5 ft`."""
    named = name_of(line.spacing_in, line.colour)
    pieces = "1 piece" if line.pieces == 1 else f"{line.pieces:,} pieces"
    return f"{named + ': ' if named else ''}{pieces}, {line.wanted_ft:,.1f} ft"


def cut_list_lines(lines: Sequence[LineCut]) -> list[str]:
    """The whole cut list for the terminal."""
    out: list[str] = []
    for line in lines:
        out += [*([""] if out else []), title_of(line)]
        cost = f" for {_amount(line, line.cost)}" if line.has_prices else f", {line.bought_ft:,.1f} ft in all"
        out.append(f"  Take {bought_words(line)}{cost}. {verdict(line)}")
        for name, cut in numbered(line):
            pieces = ", ".join(f"{number} x {feet_and_inches(feet)}" for feet, number in pieces_of(line, cut))
            each = " each" if cut.times > 1 else ""
            size = f"{line.spools[cut.stock].size_ft:g} ft"
            out.append(f"  {name} ({size}{each}): {pieces}; {_left(line, cut)}")
        out.append(f"  {waste_said(line)}")
    return out


def waste_said(line: LineCut) -> str:
    """What is lost and what is kept, in a sentence."""
    share = line.offcut_ft / line.bought_ft * 100
    kept = f"; {line.kept_ft:,.1f} ft are kept" if line.kept_ft > 0 else ""
    return f"Offcut {line.offcut_ft:,.1f} ft, {share:.1f} % of the spools{kept}."


def cut_list_json(lines: Sequence[LineCut]) -> list[dict[str, Any]]:
    """The cut list for a program; amounts in usd, or None where no spool has a price."""
    return [
        {
            "spacing_in": line.spacing_in, "colour": line.colour, "pieces": line.pieces, "wanted_ft": line.wanted_ft,
            "bought": [
                {"size_ft": s.size_ft, "spools": n} for n, s in zip(line.plan.bought, line.spools, strict=True) if n
            ],
            "bought_ft": line.bought_ft, "cost_usd": line.cost if line.has_prices else None,
            "bound_usd": line.bound if line.has_prices else None, "bound_ft": None if line.has_prices else line.bound,
            "is_proven": line.plan.is_proven, "gap": line.plan.gap, "offcut_ft": line.offcut_ft,
            "kept_ft": line.kept_ft,
            "cuts": [
                {
                    "spools": cut.times, "size_ft": line.spools[cut.stock].size_ft, "left_ft": line.left_ft(cut),
                    "pieces": [{"length_ft": feet, "count": number} for feet, number in pieces_of(line, cut)],
                }
                for cut in line.plan.cuts
            ],
        }
        for line in lines
    ]  # fmt: skip
