"""Set up the project's own virtual environment, then run a command in it.

    python3 -m pipeline.setup perfoot demo

Needs Python 3.11 or newer with venv and pip, and nothing else: this file imports the standard library alone.
What is installed is what requirements.lock names, each file checked against its hash; when neither the lock
nor pyproject.toml has changed since, nothing is installed.
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
LOCK = ROOT / "requirements.lock"
STAMP = ENVIRONMENT / "perfoot-lock.sha256"
OLDEST_PYTHON = (3, 11)
QUIETLY = ("--disable-pip-version-check", "install", "--quiet")
"""How pip is asked to install."""


def _script(name: str) -> Path:
    windows = os.name == "nt"
    return ENVIRONMENT / ("Scripts" if windows else "bin") / (f"{name}.exe" if windows else name)


def _fingerprint() -> str:
    digest = hashlib.sha256()
    for path in (LOCK, ROOT / "pyproject.toml"):
        digest.update(path.read_bytes())
    return digest.hexdigest()


def _locked(package: str) -> str:
    """The lines of one package in the lock, with its hashes."""
    lines = LOCK.read_text(encoding="utf-8").splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith(f"{package}=="))
    end = start
    while lines[end].endswith("\\"):
        end += 1
    return "\n".join(lines[start : end + 1]) + "\n"


def _run(*words: str | Path) -> bool:
    # What the installers say is no output of the command that follows.
    return subprocess.run([str(word) for word in words], check=False, cwd=ROOT, stdout=sys.stderr).returncode == 0


def _has_pip() -> bool:
    """Whether this Python has a pip; that of an environment set up by this program has none."""
    return importlib.util.find_spec("pip") is not None


def _install() -> bool:
    python = _script("python")
    if not python.exists() and not _run(sys.executable, "-m", "venv", "--without-pip", ENVIRONMENT):
        return False
    return _install_with_uv(python) or _install_with_pip(python)


def _install_with_uv(python: Path) -> bool:
    """Four times as fast as pip. Modules are compiled where they are first used: most of them never are.

    uv is fetched by the pip that this Python has, since making one for the environment takes longer than all else.
    """
    if not _has_pip():
        return False
    uv = (python, "-m", "uv", "--quiet", "pip", "install", "--python", python)
    with tempfile.TemporaryDirectory() as folder:
        installer = Path(folder) / "installer.txt"
        installer.write_text(_locked("uv"), encoding="utf-8")
        return (
            _run(sys.executable, "-m", "pip", "--python", python, *QUIETLY, "--require-hashes", "-r", installer)
            and _run(*uv, "--require-hashes", "-r", LOCK)
            and _run(*uv, "--offline", "--no-deps", "--no-build-isolation", "--editable", ROOT)
        )


def _install_with_pip(python: Path) -> bool:
    """With a pip of the environment's own: uv does not read pip's configuration, which may name the only index that can
    be reached, and a pip before 22.3 cannot install into another environment."""
    pip = (python, "-m", "pip", *QUIETLY)
    return (
        _run(python, "-m", "ensurepip")
        and _run(*pip, "--require-hashes", "-r", LOCK)
        and _run(*pip, "--no-deps", "--no-build-isolation", "--editable", ROOT)
    )


def main(words: list[str]) -> int:
    """Set up where needed, then run `words` (a command of the environment and its arguments)."""
    if sys.version_info < OLDEST_PYTHON:
        print("perfoot needs Python 3.11 or newer; start this line with such a python.", file=sys.stderr)
        return 2
    if not words:
        print("usage: python3 -m pipeline.setup COMMAND [ARGUMENT ...], such as: perfoot demo", file=sys.stderr)
        return 2
    fingerprint = _fingerprint()
    if not STAMP.exists() or STAMP.read_text(encoding="utf-8") != fingerprint:
        print("Setting up .venv from requirements.lock (once; under a minute on most machines) ...", file=sys.stderr)
        if not _install():
            print(
                "The set-up failed; the lines above say why. It needs Python's venv and pip modules and a way to the "
                "package index. Delete the folder .venv and run the same line again.",
                file=sys.stderr,
            )
            return 1
        STAMP.write_text(fingerprint, encoding="utf-8")
    command = _script(words[0])
    if not command.exists():
        print(f"{words[0]} is not a command of the environment .venv.", file=sys.stderr)
        return 2
    if os.name == "nt":
        return subprocess.run([str(command), *words[1:]], check=False).returncode
    # What is compiled at its first use is kept, else every run would compile it again.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    sys.stdout.flush()
    return os.execv(command, [str(command), *words[1:]])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
