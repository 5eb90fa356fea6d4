"""Names as people read them: the writer's escapes undone, overbar marks taken off, pin types."""

from __future__ import annotations

import re

from counterpoise.model.circuit import PinKind

_ESCAPED = {
    "slash": "/",
    "backslash": "\\",
    "space": " ",
    "lt": "<",
    "gt": ">",
    "colon": ":",
    "dblquote": '"',
    "quote": "'",
    "bar": "|",
    "comma": ",",
    "brace": "{",
    "tab": "\t",
    "return": "\n",
}
_ESCAPE = re.compile(r"\{(" + "|".join(_ESCAPED) + r")\}")
_MARK = re.compile(r"[~^_]\{([^{}]*)\}")

_KINDS = {
    "input": PinKind.INPUT,
    "output": PinKind.OUTPUT,
    "bidirectional": PinKind.BIDIRECTIONAL,
    "tri_state": PinKind.TRI_STATE,
    "passive": PinKind.PASSIVE,
    "free": PinKind.FREE,
    "unspecified": PinKind.UNKNOWN,
    "power_in": PinKind.POWER_IN,
    "power_out": PinKind.POWER_OUT,
    "open_collector": PinKind.OPEN_COLLECTOR,
    "open_emitter": PinKind.OPEN_EMITTER,
    "no_connect": PinKind.NO_CONNECT,
    # The words of the older writers.
    "bidi": PinKind.BIDIRECTIONAL,
    "3state": PinKind.TRI_STATE,
    "unspc": PinKind.UNKNOWN,
    "opencol": PinKind.OPEN_COLLECTOR,
    "openem": PinKind.OPEN_EMITTER,
    "notconnected": PinKind.NO_CONNECT,
}

_NOT_USER_FIELDS = frozenset(
    ("reference", "value", "footprint", "description", "sheetname", "sheetfile", "sheet name",
     "sheet file", "dnp", "exclude_from_bom", "exclude_from_board", "exclude_from_pos_files",
     "exclude_from_sim")
)  # fmt: skip


def unescaped(name: str) -> str:
    """A net or pin name with "{slash}" and its like undone; other braces stay."""
    return _ESCAPE.sub(lambda m: _ESCAPED[m[1]], name) if "{" in name else name


def pin_name(written: str) -> str:
    """A pin's name without escapes and overbar marks; "" for "~", which means none.

    Older writers toggle the bar with single tildes and write a real one twice.
    """
    name = unescaped(written)
    while "{" in name and (bare := _MARK.sub(r"\1", name)) != name:
        name = bare
    if "~" in name:
        name = name.replace("~~", "\0").replace("~", "").replace("\0", "~")
    return name


def pin_kind(written: str) -> tuple[PinKind, bool]:
    """A pin's electrical type, and whether it is marked to be left open."""
    word, _, suffix = written.partition("+")
    kind = _KINDS.get(word.lower(), PinKind.UNKNOWN)
    return kind, kind is PinKind.NO_CONNECT or suffix == "no_connect"


def text_of(written: str) -> str:
    """A text field; a lone "~" means empty."""
    return "" if written == "~" else written


def bare_name(written: str) -> str:
    """A footprint's name without its library."""
    return written.rpartition(":")[2]


def is_user_field(name: str) -> bool:
    """Whether a property is the user's own, not one the writer keeps for itself."""
    lowered = name.lower()
    return lowered not in _NOT_USER_FIELDS and not lowered.startswith("ki_")
