"""Colours: words and marks can be seen on light and on dark ground, and told apart without colour.

Contrast is that of WCAG 2.2: (L1 + 0.05) / (L2 + 0.05) over relative luminance; 4.5:1 for words (1.4.3) and 3:1 for
marks (1.4.11).
"""

from __future__ import annotations

import re
from itertools import combinations

import pytest

from pipeline.render import palette
from pipeline.render.html import TEMPLATES

WORDS, MARKS = 4.5, 3.0
SCHEMES = {"light": palette.LIGHT, "dark": palette.DARK}
# Machado, Oliveira, Fernandes 2009, "A Physiologically-based Model for Simulation of Color Vision Deficiency", table 1,
# severity 1.0; they act on linear light.
BLINDNESS = {
    "protanopia": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deuteranopia": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
}  # fmt: skip
APART = 0.05
"""Distance in OKLab at which two large marks beside each other are surely told apart; 0.02 is just seen."""


def linear(colour: str) -> tuple[float, ...]:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    return tuple(c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)


def contrast(one: str, other: str) -> float:
    lights = sorted(sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear(x), strict=True)) for x in (one, other))
    return (lights[1] + 0.05) / (lights[0] + 0.05)


def oklab(light: tuple[float, ...]) -> tuple[float, ...]:
    """Ottosson 2020, from linear sRGB."""
    r, g, b = (max(0.0, c) for c in light)
    cone = (
        0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b,
        0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b,
        0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b,
    )
    x, y, z = (c ** (1 / 3) for c in cone)
    return (
        0.2104542553 * x + 0.7936177850 * y - 0.0040720468 * z,
        1.9779984951 * x - 2.4285922050 * y + 0.4505937099 * z,
        0.0259040371 * x + 0.7827717662 * y - 0.8086757660 * z,
    )


def apart(one: str, other: str, blindness: str) -> float:
    seen = []
    for colour in (one, other):
        light = linear(colour)
        seen.append(oklab(tuple(sum(w * c for w, c in zip(row, light, strict=True)) for row in BLINDNESS[blindness])))
    return sum((a - b) ** 2 for a, b in zip(*seen, strict=True)) ** 0.5


def test_the_contrast_is_that_of_the_standard() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("colours", SCHEMES.values(), ids=SCHEMES.keys())
def test_words_can_be_read(colours: dict[str, str]) -> None:
    for name in palette.TEXT_COLOURS:
        for ground in ("paper", "tint"):
            assert contrast(colours[name], colours[ground]) >= WORDS, (name, ground)


@pytest.mark.parametrize("colours", SCHEMES.values(), ids=SCHEMES.keys())
def test_marks_can_be_seen(colours: dict[str, str]) -> None:
    for name in palette.MARK_COLOURS:
        assert contrast(colours[name], colours["paper"]) >= MARKS, name


def test_marks_can_be_seen_on_white_paper() -> None:
    assert min(contrast(palette.LIGHT[name], "#ffffff") for name in palette.MARK_COLOURS) >= MARKS


@pytest.mark.parametrize("blindness", BLINDNESS)
@pytest.mark.parametrize("colours", SCHEMES.values(), ids=SCHEMES.keys())
def test_what_is_good_bad_and_neither_is_told_apart_without_red_or_green(
    colours: dict[str, str], blindness: str
) -> None:
    names = {colour: name for name, colour in palette.LIGHT.items()}
    roles = [colours[names[palette.ROLE_COLOURS[role]]] for role in ("plain", "good", "bad")]
    assert min(apart(one, other, blindness) for one, other in combinations(roles, 2)) >= APART


def test_what_is_bad_has_its_own_hatching_and_shape_for_a_print_without_colour() -> None:
    assert palette.ROLE_HATCHES["bad"]
    assert len({palette.ROLE_MARKS.get(role, "o") for role in ("plain", "good", "bad")}) == 3


def test_every_drawn_colour_is_one_of_the_palette_that_has_a_dark_one() -> None:
    assert palette.LIGHT.keys() == palette.DARK.keys()
    assert set(palette.ROLE_COLOURS.values()) <= set(palette.LIGHT.values())
    assert len(set(palette.LIGHT.values())) == len(palette.LIGHT)
    style = (TEMPLATES / "page.css").read_text(encoding="utf-8")
    assert set(re.findall(r"var\(--(\w+)\)", style)) <= palette.LIGHT.keys()
