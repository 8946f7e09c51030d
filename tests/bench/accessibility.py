"""Every page of a reports' folder under axe-core in headless Chromium, light and dark. Prints what breaks a rule.

python tests/bench/accessibility.py REPORTS AXE CHROMIUM [OUT.json]

REPORTS is a folder of pages, such as perfoot-demo/reports; AXE is axe.min.js of the npm package axe-core; CHROMIUM is
the browser's program. Neither is a part of this project. OUT keeps what was found. Ends with 1 where a rule is broken.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tempfile
from datetime import date
from html import unescape
from pathlib import Path
from typing import Any

from pipeline import __version__

SCHEMES = {"dark": "0", "light": "1"}
"""Blink's numbers of what a reader's system prefers."""
RUN = """axe.run(document).then(found => { document.documentElement.innerHTML = '<body><pre id="axe"></pre></body>';
document.getElementById('axe').textContent = JSON.stringify({dark: matchMedia('(prefers-color-scheme: dark)').matches,
version: found.testEngine.version,
passes: found.passes.length, unsure: found.incomplete.map(one => one.id), violations: found.violations}); });"""


def found_on(page: Path, axe: Path, chromium: str, scheme: str) -> dict[str, Any]:
    """What axe says of a page: whether it was dark, how many rules it passed, and which are broken, where."""
    script = f"<script>{axe.read_text(encoding='utf-8')}</script><script>{RUN}</script></body>"
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "page.html"
        copy.write_text(page.read_text(encoding="utf-8").replace("</body>", script), encoding="utf-8")
        done = subprocess.run(
            [chromium, "--headless", "--no-sandbox", "--disable-gpu", "--virtual-time-budget=60000",
             f"--blink-settings=preferredColorScheme={SCHEMES[scheme]}", f"--user-data-dir={folder}/profile",
             "--dump-dom", copy.as_uri()],
            capture_output=True, text=True, check=True,
        )  # fmt: skip
    said = re.search(r'<pre id="axe">(.*?)</pre>', done.stdout, re.DOTALL)
    assert said is not None, f"axe did not answer on {page}"
    return dict(json.loads(unescape(said[1])))


def main(reports: str, axe: str, chromium: str, out: str | None = None) -> int:
    """Check every page in both schemes."""
    broken, kept, version = 0, {}, ""
    for page in sorted(Path(reports).rglob("*.html")):
        for scheme in SCHEMES:
            found = found_on(page, Path(axe), chromium, scheme)
            assert found["dark"] is (scheme == "dark")
            print(
                f"{page.name}, {scheme}: {found['passes']} rules passed, {len(found['violations'])} broken", flush=True
            )
            for rule in found["violations"]:
                places = rule["nodes"]
                print(f"  {rule['id']}: {rule['help']}; {len(places)} places, first {places[0]['html'][:160]}")
            broken += len(found["violations"])
            version = found["version"]
            kept[f"{page.relative_to(reports)}, {scheme}"] = {
                "passed": found["passes"], "broken": [rule["id"] for rule in found["violations"]],
                "left to a person": found["unsure"],
            }  # fmt: skip
    if out:
        told = {"date": date.today().isoformat(), "version": __version__, "axe-core": version, "pages": kept}
        Path(out).write_text(json.dumps(told, indent=1) + "\n", encoding="utf-8")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
