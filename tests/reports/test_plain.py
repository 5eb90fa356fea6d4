"""Text from a board cannot steer a terminal."""

from __future__ import annotations

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from counterpoise.reports._plain import plain


@given(st.text())
def test_nothing_left_that_steers(text: str) -> None:
    shown = plain(text)
    assert all(unicodedata.category(c)[0] != "C" and c not in "\u2028\u2029" for c in shown)


def test_what_people_write_stays() -> None:
    for text in ("4.7 kΩ ±1 %", "U1.5 (PROG)", "Größe", "~{RESET}", ""):
        assert plain(text) == text
    assert plain("a\x1b[31mb\u202ec\n") == "a\\x1b[31mb\\u202ec "
