"""The checks of the code itself: format, lint, types, SQL style, import contracts, and the house's own rules.

python3 -m pipeline.setup pytest tests/checks
"""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
BIN = Path(sys.executable).parent
CODE = ("pipeline", "tests", "data_demo")
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "pipeline",
    "sql",
    "tests",
    "data_demo",
    "reports",
    "LICENSE",
    "requirements.lock",
}
LONGEST_MODULE = 300
LONGEST_FUNCTION = 50


def modules() -> list[Path]:
    return sorted(path for folder in CODE for path in (ROOT / folder).rglob("*.py"))


@pytest.mark.parametrize(
    "words",
    [
        pytest.param(("ruff", "format", "--check", *CODE), id="format"),
        pytest.param(("ruff", "check", *CODE), id="lint"),
        pytest.param(("mypy",), id="types"),
        pytest.param(("lint-imports",), id="import contracts"),
        pytest.param(("sqlfluff", "lint", "sql"), id="SQL style"),
    ],
)
def test_the_tools_find_nothing(words: tuple[str, ...]) -> None:
    done = subprocess.run([BIN / words[0], *words[1:]], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_no_module_passes_three_hundred_lines() -> None:
    lengths = {str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines()) for path in modules()}
    assert {name: n for name, n in lengths.items() if n > LONGEST_MODULE} == {}


def test_no_function_passes_fifty_lines() -> None:
    long = {}
    for path in modules():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and node.end_lineno is not None:
                length = node.end_lineno - node.lineno + 1
                if length > LONGEST_FUNCTION:
                    long[f"{path.relative_to(ROOT)}:{node.name}"] = length
    assert long == {}


def test_the_top_level_is_fixed() -> None:
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    top = {line.split("/")[0] for line in tracked.splitlines()}
    assert {name for name in top if not name.startswith(".")} - TOP_LEVEL == set()


def test_the_lock_names_versions_and_hashes_alone() -> None:
    for line in (ROOT / "requirements.lock").read_text(encoding="utf-8").splitlines():
        assert "://" not in line, line
        assert line.startswith("    --hash=sha256:") or "==" in line, line
