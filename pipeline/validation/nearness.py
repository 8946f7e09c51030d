"""Names one slip of the hand apart: a character changed, missing, added, or two swapped."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable


def is_one_slip(a: str, b: str) -> bool:
    """Whether two different names are one slip apart."""
    if a == b or abs(len(a) - len(b)) > 1:
        return False
    start = 0
    while start < min(len(a), len(b)) and a[start] == b[start]:
        start += 1
    rest_a, rest_b = a[start:], b[start:]
    if len(a) == len(b):
        swapped = len(rest_a) > 1 and rest_a[:2] == rest_b[1::-1] and rest_a[2:] == rest_b[2:]
        return rest_a[1:] == rest_b[1:] or swapped
    return rest_a[1:] == rest_b if len(a) > len(b) else rest_a == rest_b[1:]


def _shortened(name: str) -> set[str]:
    return {name, *(name[:place] + name[place + 1 :] for place in range(len(name)))}


class Near:
    """Looks up the one known name that is one slip from a written one.

    Two names one slip apart share a form with one character taken out, so that a look-up costs a name's length and
    not the number of known names.
    """

    def __init__(self, known: Iterable[str]) -> None:
        self._by_form: dict[str, set[str]] = defaultdict(set)
        for name in known:
            for form in _shortened(name):
                self._by_form[form].add(name)

    def one(self, written: str) -> str | None:
        """The known name that is near; None where there is none or several."""
        candidates = set().union(*(self._by_form.get(form, ()) for form in _shortened(written)))
        near = [name for name in candidates if is_one_slip(written, name)]
        return near[0] if len(near) == 1 else None
