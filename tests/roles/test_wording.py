"""Refs listed shortly."""

from __future__ import annotations

import pytest

from counterpoise.roles.wording import briefly


@pytest.mark.parametrize(
    ("names", "text"),
    [
        (["C1"], "C1"),
        (["C2", "C1"], "C1 and C2"),
        (["C3", "C1", "C2"], "C1 to C3"),
        (["C10", "C9", "C8", "C7", "C18"], "C7 to C10 and C18"),
        (["R1", "R2", "C3", "C4", "C5", "C5"], "C3 to C5, R1 and R2"),
        (["C09", "C10", "C11"], "C09, C10 and C11"),
        (["CAP_A", "CAP_B", "X"], "CAP_A, CAP_B and X"),
        (["1", "2", "3"], "1 to 3"),
        ([], ""),
    ],
)
def test_refs_in_a_row_are_told_by_their_ends(names: list[str], text: str) -> None:
    assert briefly(names) == text
