"""Proves what ships: a wheel, run from another folder, finds its rules; so does the editable install.

Run by ``./dev package`` (in .ci/run), not by pytest: it builds and installs.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import venv
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
COUNT = (
    "from counterpoise.catalog.rules import all_rules as r; "
    "from counterpoise.catalog.cards import all_cards as c; print(len(r()), len(c()))"
)
NEEDED = (
    "rules/clock.toml",
    "rules/parts/chargers.toml",
    "rules/fab/prototype-2-layer.toml",
    "schemas/report-1.json",
    "schemas/weigh-1.json",
    "schemas/compare-1.json",
)


def run(*command: str | Path, cwd: Path) -> str:
    """The output of a command that must succeed."""
    return subprocess.run(
        [str(part) for part in command], cwd=cwd, check=True, text=True, stdout=subprocess.PIPE
    ).stdout.strip()


def main() -> int:
    """Build, install, compare; 0 when both installs see the same rules and cards."""
    with tempfile.TemporaryDirectory() as folder:
        there = Path(folder)
        run(sys.executable, "-m", "build", "--no-isolation", "--outdir", there, ROOT, cwd=ROOT)
        (wheel,) = there.glob("*.whl")
        (sdist,) = there.glob("*.tar.gz")
        names = zipfile.ZipFile(wheel).namelist()
        foreign = [n for n in names if not n.startswith("counterpoise")]
        assert not foreign, f"the wheel holds {foreign[0]}"
        for needed in NEEDED:
            assert f"counterpoise/{needed}" in names, f"the wheel lacks {needed}"
        listing = run("tar", "-tzf", sdist, cwd=there)
        for needed in ("/dev", "/fixtures/focus-paddle/rev-a/board.toml", "/tests/boards.py"):
            assert needed in listing, f"the source archive lacks {needed}"
        venv.create(there / "venv", with_pip=True)
        python = there / "venv" / "bin" / "python"
        pins = ROOT / "constraints.txt"
        pip = (python, "-m", "pip", "install", "-qq", "--disable-pip-version-check", "-c", pins)
        run(*pip, wheel, cwd=there)
        seen = run(python, "-c", COUNT, cwd=there)
        editable = run(sys.executable, "-c", COUNT, cwd=there)
        assert seen == editable != "0 0", f"wheel sees {seen}, editable install {editable}"
        bare = run(there / "venv" / "bin" / "counterpoise", "--version", cwd=there)
        print(f"{bare}: wheel and editable install both find {seen} rules and cards")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
