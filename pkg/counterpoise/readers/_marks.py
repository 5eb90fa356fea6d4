"""Words that say whether a part is fitted, as columns and fields hold them."""

from __future__ import annotations

from counterpoise.values.partvalue import unfitted_text

_YES = frozenset(("1", "y", "yes", "true", "t", "x", "✓", "✔", "ja", "oui"))
_NO = frozenset(("0", "n", "no", "false", "f", "-", "nein", "non"))
_FITTED = frozenset(("fitted", "fit", "populate", "populated", "mounted", "mount", "stuff"))


def flag(word: str, meaning: bool) -> bool | None:
    """Whether a part is fitted, for a cell of a column where yes means ``meaning``.

    An empty cell means fitted in either kind of column; None for a word that is neither yes nor no.
    """
    folded = word.casefold()
    if not folded or folded in _FITTED:
        return True
    if unfitted_text(word):
        return False
    if folded in _YES:
        return meaning
    return not meaning if folded in _NO else None
