"""Write a file whole or not at all."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path


def write_whole(path: Path, write: Callable[[Path], None]) -> None:
    """Write a file beside its place and move it there: nobody ever reads half of it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}.part")
    write(beside)
    beside.replace(path)


def write_bytes_whole(path: Path, content: bytes) -> None:
    """Write a file's content whole or not at all."""

    def write(part: Path) -> None:
        part.write_bytes(content)

    write_whole(path, write)
