"""The typeface that travels with the package: Barlow, under the SIL Open Font License that lies beside it."""

from __future__ import annotations

import base64
from functools import cache
from pathlib import Path

FONTS = Path(__file__).parent / "fonts"
FAMILY = "Barlow"
FALLBACKS = ("DejaVu Sans", "Last Resort High-Efficiency")
"""For letters that Barlow lacks: both travel with matplotlib. The last has a box for every letter there is."""
WEIGHTS = {400: "Barlow-Regular-latin.woff2", 600: "Barlow-SemiBold-latin.woff2"}
"""Western letters alone, for pages: a page's reader has other letters on the system."""


@cache
def register() -> None:
    """Make the typeface known to matplotlib."""
    from matplotlib.font_manager import fontManager

    for path in sorted(FONTS.glob("*.ttf")):
        fontManager.addfont(path)


@cache
def letters() -> frozenset[int]:
    """Code points that Barlow or the first fallback can show; for the others there is but a box."""
    from matplotlib.font_manager import findfont
    from matplotlib.ft2font import FT2Font

    paths = (str(FONTS / "Barlow-Regular.ttf"), str(findfont(FALLBACKS[0])))
    return frozenset(code for path in paths for code in FT2Font(path).get_charmap())


def folders() -> list[str]:
    """Folders in which the typeface and its fallbacks lie."""
    import matplotlib

    return [str(FONTS), str(Path(matplotlib.get_data_path()) / "fonts" / "ttf")]


@cache
def font_faces() -> str:
    """The typeface inside a style sheet."""
    faces = []
    for weight, name in WEIGHTS.items():
        data = base64.b64encode((FONTS / name).read_bytes()).decode("ascii")
        faces.append(
            f'@font-face {{ font-family: "{FAMILY}"; font-weight: {weight}; '
            f'src: url(data:font/woff2;base64,{data}) format("woff2"); }}'
        )
    return "\n".join(faces)
