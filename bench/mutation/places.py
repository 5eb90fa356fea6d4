"""Where the tests are, and how a copy of the tree runs them."""

from __future__ import annotations

import os
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BOARDS = os.environ.get("COUNTERPOISE_BOARDS", str(ROOT.parent / "shared" / "boards"))
TESTS = [f"tests/{name}" for name in ("checks", "roles", "values", "references", "reports")]
TESTS += ["tests/test_cases.py", "tests/test_told.py", "tests/test_sound_boards.py"]
TESTS += ["tests/test_sound_variety.py", "tests/test_seeded_variety.py"]


def options() -> list[str]:
    return ["-q", "-m", "not slow", "-p", "no:cacheprovider"]


def environment(copy: Path) -> dict[str, str]:
    return os.environ | {
        "PYTHONPATH": str(copy / "pkg"),
        "PYTHONDONTWRITEBYTECODE": "1",
        "COUNTERPOISE_BOARDS": BOARDS,
    }
