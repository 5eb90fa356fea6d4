"""Boards as other engineers draw them, sound as drawn: no stop, and only the cautions listed beside them.

Each ``tests/sound/*.toml`` is one board: ``circuit`` (as tests/boards.py reads it), ``manifest``, and
``cautions``: the rules of which a careful engineer would raise a caution there too.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from boards import make_board
from counterpoise.catalog.rules import all_rules
from counterpoise.checks.run import function_of, judge
from counterpoise.model.verdicts import Severity

FILES = sorted((Path(__file__).parent / "sound").glob("*.toml"))


def sound(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_sound_board_has_no_stop_and_no_caution_but_those_listed(path: Path) -> None:
    told = sound(path)
    rules = [(rule, function_of(rule)) for rule in all_rules().values()]
    found = judge(make_board(told["circuit"], told["manifest"]), rules).findings
    assert [f.message for f in found if f.severity is Severity.STOP] == []
    raised = {f.rule for f in found}
    assert raised <= set(told["cautions"]), [f.message for f in found]
    assert raised >= set(told["cautions"]), "a caution that a careful engineer would raise is gone"
