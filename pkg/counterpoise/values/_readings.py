"""What one word of a value may mean for each kind of part: the likeliest reading first."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from typing import TypeAlias

from counterpoise.values.eseries import in_series

Reading: TypeAlias = tuple[tuple[float, ...], str]
"""Values in SI units, likeliest first, and the tolerance letter that followed, "" when none."""

Reader: TypeAlias = Callable[[str], Reading | None]

_EXPONENT = {"": 0, "p": -12, "n": -9, "u": -6, "m": -3, "k": 3, "M": 6, "G": 9}
_N = r"(\d+(?:\.\d*)?|\.\d+)"
_DIGITS = re.compile(r"\d+(?:\.\d*)?|\.\d+")

_OHMS = re.compile(
    _N
    + r"(?:(meg|MEG|Meg|m|k|K|M|G)?(?:(ohms?|Ohms?|OHMS?|R|r|E)([BCDFGJK]?)|(?<=[kKMGgm])([FGJ]?)))"
)
_OHMS_POINT = re.compile(r"(?:(\d+)([RrkKMmGEL])|()([Rr]))(\d+)(?:ohms?|R)?([BCDFGJKM]?)")
_FARADS = re.compile(_N + r"(?:([pnumMPNU])([fF]?[dD]?)|([fF]))([GJKM]?)")
_FARADS_POINT = re.compile(r"(?:(\d*)([pnuPNU])|(\d+)([mFR]))(\d+)[fF]?([GJKM]?)")
_HENRIES = re.compile(_N + r"(?:([pnumPNU])([hH]?)|(H))([JKM]?)")
_HENRIES_POINT = re.compile(r"(?:(\d*)([nuNU])|(\d*)([RmH]))(\d+)H?([JKM]?)")
_HERTZ = re.compile(_N + r"(?:([kKmM]?)(?:[Hh][Zz])|([kKM]))")
_HERTZ_POINT = re.compile(r"(\d+)([kKM])(\d+)(?:[Hh][Zz])?")
_AMPERES = re.compile(r"[FT]?" + _N + r"([mu]?)A|[FT]?(\d+)A(\d+)")


def _si(figures: str, prefix: str) -> float:
    """The decimal that was meant: "12" pico is 12e-12 exactly."""
    return float(f"{figures}e{_EXPONENT[prefix]}")


def _sold(value: float) -> bool:
    """Whether parts of 5 % are sold of this value."""
    return in_series(value, 0.05)


def _ohms(token: str) -> Reading | None:
    match = _OHMS.fullmatch(token)
    if match:
        prefix = match[2] or ""
        prefix = "M" if prefix.casefold() == "meg" else prefix.replace("K", "k")
        values = [_si(match[1], prefix)]
        if prefix == "m" and not match[3]:
            values.append(_si(match[1], "M"))
        return tuple(values), match[4] or match[5] or ""
    match = _OHMS_POINT.fullmatch(token)
    if not match:
        return None
    whole, letter = match[1] or "0", match[2] or match[4]
    figures = f"{whole}.{match[5]}"
    if letter == "E":
        return (_si(figures, ""), float(f"{whole}e{min(int(match[5]), 99)}")), match[6]
    if letter == "m":
        return (_si(figures, "m"), _si(figures, "M")), match[6]
    return (_si(figures, {"R": "", "r": "", "K": "k", "L": "m"}.get(letter, letter)),), match[6]


def _bare_ohms(token: str) -> Reading | None:
    """Ohms as written; a figure that no maker sells but that is a good marking code is doubtful."""
    if not _DIGITS.fullmatch(token):
        return None
    plain = float(token)
    code = _code(token, 0)
    if code is None or _sold(plain):
        return (plain,), ""
    return (plain, code), ""


def _code(token: str, exponent: int) -> float | None:
    """A three-digit code, two figures and the count of zeros, in units of 10**exponent."""
    if not re.fullmatch(r"[1-9]\d[0-7]", token):
        return None
    value = float(f"{token[:2]}e{int(token[2]) + exponent}")
    return value if _sold(float(token[:2])) else None


def _farads(token: str) -> Reading | None:
    match = _FARADS.fullmatch(token)
    if match:
        return _farads_plain(match) or _coded_farads(token)
    match = _FARADS_POINT.fullmatch(token)
    if match:
        figures = f"{match[1] or match[3] or '0'}.{match[5]}"
        letter = match[2].casefold() if match[2] else {"F": "", "R": "p"}.get(match[4], "m")
        values = (
            (_si(figures, letter), _si(figures, "u")) if letter == "m" else (_si(figures, letter),)
        )
        return values, match[6]
    return _coded_farads(token)


def _coded_farads(token: str) -> Reading | None:
    """A three-digit code with its tolerance letter: "104K"; "220M" may be 220 µF as well."""
    digits, letter = token[:3], token[3:]
    code = _code(digits, -12)
    if (
        code is None
        or letter not in ("G", "J", "K", "M", "Z")
        or (letter == "M" and digits[2] == "0")
    ):
        return None
    return (code,), letter


def _farads_plain(match: re.Match[str]) -> Reading | None:
    letter = match[2] or ""
    if match[3] and match[3][-1] in "dD":
        letter = "u" if letter in "mMuU" else letter.casefold()
        return (_si(match[1], letter),), match[5]
    if letter == "M" and not match[3]:
        return None
    if letter in ("m", "M"):
        # "mF" was long written for microfarad.
        return (_si(match[1], "m"), _si(match[1], "u")), match[5]
    return (_si(match[1], letter.casefold()),), match[5]


def _bare_farads(token: str) -> Reading | None:
    """A three-digit code is sure when the plain figure is no value one can buy; else it is open
    whether picofarads, microfarads or the code is meant."""
    if not _DIGITS.fullmatch(token):
        return None
    plain, code = float(token), _code(token, -12)
    if code is not None and token[2] != "0" and not _sold(plain):
        return (code,), ""
    pico, micro = _si(token, "p"), _si(token, "u")
    first, second = (micro, pico) if plain < 1 else (pico, micro)
    return ((first, code, second) if code is not None else (first, second)), ""


def _henries(token: str) -> Reading | None:
    match = _HENRIES.fullmatch(token)
    if match:
        return (_si(match[1], (match[2] or "").casefold()),), match[5]
    match = _HENRIES_POINT.fullmatch(token)
    if not match:
        return None
    figures = f"{match[1] or match[3] or '0'}.{match[5]}"
    letter = match[2].casefold() if match[2] else {"R": "u", "H": ""}.get(match[4], "m")
    return (_si(figures, letter),), match[6]


def _bare_henries(token: str) -> Reading | None:
    """Microhenries or nanohenries, or a code in microhenries."""
    if not _DIGITS.fullmatch(token):
        return None
    plain, code = float(token), _code(token, -6)
    if code is not None and token[2] != "0" and not _sold(plain):
        return (code,), ""
    readings = (_si(token, "u"), _si(token, "n"))
    return ((readings[0], code, readings[1]) if code is not None else readings), ""


def _hertz(token: str) -> Reading | None:
    match = _HERTZ.fullmatch(token)
    if match:
        prefix = (match[2] or match[3] or "").replace("K", "k").replace("m", "M")
        return (_si(match[1], prefix),), ""
    match = _HERTZ_POINT.fullmatch(token)
    if not match:
        return None
    return (_si(f"{match[1]}.{match[3]}", match[2].replace("K", "k")),), ""


def _bare_hertz(token: str) -> Reading | None:
    """Hertz when the figure is large enough, else megahertz or kilohertz."""
    if not _DIGITS.fullmatch(token):
        return None
    if float(token) >= 10_000:
        return (float(token),), ""
    readings = (_si(token, "M"), _si(token, "k"))
    return (readings[::-1] if token.startswith("32.768") else readings), ""


def _amperes(token: str) -> Reading | None:
    match = _AMPERES.fullmatch(token)
    if not match:
        return None
    figures = match[1] or f"{match[3]}.{match[4]}"
    return (_si(figures, match[2] or ""),), ""


def _none(_: str) -> Reading | None:
    return None


def _above_zero(reader: Reader, token: str) -> Reading | None:
    """Only a resistor may be zero."""
    found = reader(token)
    return found if found is not None and found[0][0] > 0 else None


WRITTEN: dict[str, Reader] = {
    "resistor": _ohms,
    "ferrite": _ohms,
    "capacitor": partial(_above_zero, _farads),
    "inductor": partial(_above_zero, _henries),
    "crystal": partial(_above_zero, _hertz),
    "resonator": partial(_above_zero, _hertz),
    "fuse": partial(_above_zero, _amperes),
    "led": partial(_above_zero, _amperes),
}
"""By kind: the readings of a word that carries a unit, a prefix or a letter as decimal point."""

BARE: dict[str, Reader] = {
    "resistor": _bare_ohms,
    "ferrite": _bare_ohms,
    "capacitor": partial(_above_zero, _bare_farads),
    "inductor": partial(_above_zero, _bare_henries),
    "crystal": partial(_above_zero, _bare_hertz),
    "resonator": partial(_above_zero, _bare_hertz),
    "fuse": _none,
    "led": _none,
}
"""By kind: the readings of a bare figure."""
