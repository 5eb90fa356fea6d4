"""What a net's name says of its voltage: evidence, never proof."""

from __future__ import annotations

import re
from functools import cache

from counterpoise.roles._rail_level import Level, path_volts, written
from counterpoise.roles.pins import net_leaf
from counterpoise.values.ranges import Range

_VOLTS = re.compile(
    r"(?<![A-Z0-9.])[+P]?(?:(\d{1,2})V(\d{1,2})?|(\d{1,2})\.(\d{1,2})V)(?![A-Z0-9])"
)
_VBUS = re.compile(r"(?<![A-Z0-9])(VBUS|VUSB|USB_?5V|USB_?VCC)(?![A-Z0-9])")
_CODE = re.compile(
    r"(?<!\d)(?:(\d)\.(\d{1,2})V?|(\d)V(\d{1,2})|(\d)[P](\d)|-?([1-5])([0-9])(?:02|0|2)?)(?=[A-Z/_-]*$|[A-Z]{1,5}\d?[-/]?[A-Z]*$)"
)

_FAMILY_DIGITS = 3


def _number(whole: str, part: str | None) -> float:
    return float(f"{whole}.{part or '0'}")


@cache
def volts_in_name(net: str) -> Range | None:
    """The voltage in a net's own name ("+3V3", "VCC_5V", "P2.5V"), or the USB supply's by name."""
    leaf = net_leaf(net)
    if leaf.startswith(("NET-(", "UNCONNECTED-(")):
        return None
    match = _VOLTS.search(leaf)
    if match:
        volts = _number(match[1], match[2]) if match[1] else _number(match[3], match[4])
        return Range.of(volts) if 0.5 <= volts <= 30 else None
    return path_volts("usb") if _VBUS.search(leaf) else None


def level_by_name(nets: frozenset[str]) -> Level | None:
    """A level by the names of a node's nets, when they agree."""
    said = {(n, v) for n in nets if (v := volts_in_name(n)) is not None}
    if len({(v.low, v.high) for _, v in said}) != 1:
        return None
    net, volts = min(said, key=lambda pair: pair[0])
    return Level(volts, (), f"the name {net} says {written(volts)}", firm=False)


@cache
def volts_in_code(code: str) -> float | None:
    """The voltage that a regulator's order code seems to carry: "…-3.3", "…3V3", "…33", "…332".

    Makers' habits, a hint only. None when nothing from 0.8 to 5.5 V is told.
    """
    spelt = re.sub(r"[(\[].*$", "", code.upper()).strip()
    for match in reversed(list(_CODE.finditer(spelt))):
        groups = [g for g in match.groups() if g is not None]
        # Bare digits count only behind a family number: the "20" of "AB7A20" is no voltage.
        plain = match[7] is not None
        if plain and sum(c.isdigit() for c in spelt[: match.start()]) < _FAMILY_DIGITS:
            continue
        volts = _number(groups[0], groups[1])
        if 0.8 <= volts <= 5.5:
            return volts
    return None
