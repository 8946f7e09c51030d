"""Which commands set the environment up, and what follows where one of them fails."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from pipeline import setup

Words = tuple[str, ...]


@pytest.fixture
def failing() -> list[str]:
    """Words of the commands that fail."""
    return []


@pytest.fixture
def asked(failing: list[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[Words]:
    """What would have been run, in order."""
    commands: list[Words] = []

    def run(*words: str | Path) -> bool:
        commands.append(tuple(str(word) for word in words))
        return not any(word in commands[-1] for word in failing)

    monkeypatch.setattr(setup, "_run", run)
    monkeypatch.setattr(setup, "_has_pip", lambda: True)
    monkeypatch.setattr(setup, "ENVIRONMENT", tmp_path / ".venv")
    return commands


def test_uv_is_fetched_by_the_pip_at_hand_and_installs_the_lock_with_its_hashes(asked: list[Words]) -> None:
    assert setup._install()
    made, fetched, locked, project = asked
    assert made[:4] == (sys.executable, "-m", "venv", "--without-pip")
    assert fetched[:4] == (sys.executable, "-m", "pip", "--python")
    assert {"uv", "--require-hashes", str(setup.LOCK)} <= set(locked)
    assert {"uv", "--offline", "--no-deps", str(setup.ROOT)} <= set(project)
    assert "--require-hashes" in fetched


def test_where_uv_fails_a_pip_of_the_environment_installs_the_lock_with_its_hashes(
    asked: list[Words], failing: list[str]
) -> None:
    failing.append("uv")
    assert setup._install()
    made, locked, project = asked[-3:]
    inside = str(setup._script("python"))
    assert made == (inside, "-m", "ensurepip")
    assert locked[:3] == project[:3] == (inside, "-m", "pip")
    assert {"--require-hashes", str(setup.LOCK)} <= set(locked)


def test_a_python_without_pip_gives_the_environment_a_pip_of_its_own(
    asked: list[Words], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(setup, "_has_pip", lambda: False)
    assert setup._install()
    inside = str(setup._script("python"))
    assert [words[:3] for words in asked[1:]] == [
        (inside, "-m", "ensurepip"), (inside, "-m", "pip"), (inside, "-m", "pip"),
    ]  # fmt: skip


@pytest.mark.usefixtures("asked")
def test_a_set_up_that_fails_is_not_called_done(
    failing: list[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(setup, "STAMP", tmp_path / "stamp")
    failing.extend(["uv", "ensurepip"])
    assert setup.main(["perfoot", "demo"]) == 1
    assert "The set-up failed" in capsys.readouterr().err
    assert not (tmp_path / "stamp").exists()


def test_the_lock_has_the_installer_with_its_hashes() -> None:
    lines = setup._locked("uv").splitlines()
    assert lines[0].startswith("uv==")
    assert len(lines) > 1
    assert all("--hash=sha256:" in line for line in lines[1:])
