"""Chip sizes: the digits on a passive part, imperial or metric, and the body they stand for."""

from __future__ import annotations

import re
from types import MappingProxyType

# imperial code: (metric code, body length mm, body width mm)
_CHIPS = {
    "008004": ("0201", 0.25, 0.125),
    "01005": ("0402", 0.4, 0.2),
    "0201": ("0603", 0.6, 0.3),
    "0306": ("0816", 0.8, 1.6),
    "0402": ("1005", 1.0, 0.5),
    "0508": ("1220", 1.25, 2.0),
    "0603": ("1608", 1.6, 0.8),
    "0612": ("1632", 1.6, 3.2),
    "0805": ("2012", 2.0, 1.25),
    "1008": ("2520", 2.5, 2.0),
    "1206": ("3216", 3.2, 1.6),
    "1210": ("3225", 3.2, 2.5),
    "1806": ("4516", 4.5, 1.6),
    "1812": ("4532", 4.5, 3.2),
    "1825": ("4564", 4.5, 6.4),
    "2010": ("5025", 5.0, 2.5),
    "2220": ("5750", 5.7, 5.0),
    "2225": ("5664", 5.6, 6.4),
    "2512": ("6332", 6.3, 3.2),
}

CHIP_BODIES = MappingProxyType({code: (x, y) for code, (_, x, y) in _CHIPS.items()})
"""Body length and width in mm by imperial code, terminals at the ends of the length (EIA-481 and
the makers' nominal dimensions; the metric code is the body in tenths of a millimetre)."""

_METRIC = {metric: code for code, (metric, _, _) in _CHIPS.items()} | {"6432": "2512"}
_PARTS = frozenset(
    (
        *("r", "c", "l", "d", "f", "fb", "cp", "led", "res", "cap", "ind", "bead", "fuse", "diode"),
        *("resistor", "resistors", "capacitor", "capacitors", "inductor", "inductors", "ferrite"),
    )
)
_WORDS = _PARTS | {"smd", "smt", "chip", "case", "size", "package", "imperial", "inch", "mlcc"}
_METRIC_WORD = re.compile(r"(?<!\d)(\d{4})[\s_-]*metric\b|\bmetric[\s_-]*(\d{4})(?!\d)", re.I)
_IPC_NAME = re.compile(r"(?:RES|CAP|IND|LED|BEA|FUS|DIO)C(\d{4})X", re.I)
_EIA_CASE = re.compile(r"\bEIA-(\d{4})-\d\d", re.I)
_TOKEN = re.compile(r"[^A-Za-z0-9]+")
_CODE = re.compile(r"([A-Za-z]*?)(\d{4,6})")


def chip_size(text: str) -> str | None:
    """The imperial chip code that a package or footprint name states; None when it states none.

    Reads "0402", "R0402", "C_0402_1005Metric", "1005 metric", "LED 0603", "RESC1005X40N" (the
    metric names of IPC-7351). A bare "0402" or "0603" is taken as imperial, as the trade writes it;
    a metric code is taken only where it can be nothing else.
    """
    for pattern in (_METRIC_WORD, _IPC_NAME, _EIA_CASE):
        match = pattern.search(text)
        if match:
            return _METRIC.get(next(group for group in match.groups() if group))
    tokens = [token for token in _TOKEN.split(text.rpartition(":")[2]) if token]
    words = {token.casefold() for token in tokens}
    for token in tokens:
        match = _CODE.fullmatch(token)
        if match:
            around = {match[1].casefold()} if match[1] else words
            alone = token == text.strip() and not match[1]
            if match[2] in _CHIPS and (alone or around & _WORDS):
                return match[2]
            if match[2] in _METRIC and (alone or around & _PARTS):
                return _METRIC[match[2]]
    return None


def chip_body(code: str) -> tuple[float, float]:
    """Length and width of the body in mm.

    Raises:
        KeyError: not an imperial chip code.
    """
    return CHIP_BODIES[code]
