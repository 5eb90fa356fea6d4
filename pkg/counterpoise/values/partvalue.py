"""Part values as people write them: "4k7", "2u2/10V", "5,1k 1%", "22uF/6.3V/20%/X5R/C0603".

RKM codes are those of IEC 60062 (letter as decimal point); three-digit codes are those of the EIA.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from counterpoise.values._readings import BARE, WRITTEN, Reader, Reading
from counterpoise.values.ranges import Range
from counterpoise.values.sizes import chip_size

KINDS = ("resistor", "capacitor", "inductor", "ferrite", "crystal", "resonator", "fuse", "led")

_SPELLING = str.maketrans(
    {
        "\N{MICRO SIGN}": "u",
        "\N{GREEK SMALL LETTER MU}": "u",
        "\N{OHM SIGN}": "ohm",
        "\N{GREEK CAPITAL LETTER OMEGA}": "ohm",
        "\N{NO-BREAK SPACE}": " ",
        "\N{PLUS-MINUS SIGN}": " \N{PLUS-MINUS SIGN}",
        "\N{MINUS SIGN}": "-",
    }
)
_SPREAD = re.compile(r"\+/-|\+-")
_COMMA = re.compile(r"(?<![\d.,])(0|[1-9]\d{0,2}),(\d{1,3})(?!\d|,\d)")
_POWER = re.compile(r"\b(?:\d+/\d+|\d+(?:\.\d+)?)\s*m?W\b")
_CONDITION = re.compile(r"@.*")
_GAP = re.compile(
    r"(?<![\w.])(\d+(?:\.\d*)?|\.\d+)\s+(?=(?:(?:[pnumkMG]|meg)?(?:F|H|Hz|ohms?|V|VDC|A|R)|%|ppm|"
    r"[pnumkMG]|meg)(?![\w%]))",
    re.I,
)
_SPLIT = re.compile(r"[\s/,;|_()\[\]*]+")
_PERCENT = re.compile(r"[±+-]?(\d+(?:\.\d+)?)%")
_PPM = re.compile(r"[±+-]*(\d+(?:\.\d+)?)ppm", re.I)
_ABSOLUTE = re.compile(r"±(\d*\.?\d+)pF?", re.I)
_VOLTS = re.compile(r"(\d+(?:\.\d+)?)(k?)V(?:DC)?|(\d+)V(\d+)", re.I)
_AMPERES = re.compile(r"(\d+(?:\.\d+)?|\.\d+)(u|m?)A")
_PICOFARADS = re.compile(r"(\d+(?:\.\d+)?)pF?|(\d+)p(\d+)F?", re.I)
_CLASS_1 = re.compile(r"C[0O]G|NP[0O]|CG", re.I)
_CLASS_2 = re.compile(r"[XYZ][2-9][A-V]|U2J", re.I)
_LETTER_TOLERANCE = {"F": 0.01, "G": 0.02, "J": 0.05, "K": 0.10, "M": 0.20}
_CLOSE = {"B": 0.001, "C": 0.0025, "D": 0.005}
"""Letters of close tolerance, read only where they end a resistor's code; a word of one letter
may be anything."""
_SIZED = re.compile(r"[A-Za-z]{0,4}\d{4,5}")
_WORD = r"(?<![a-z0-9])(?:{})(?![a-z0-9])"
_UNFITTED = re.compile(
    _WORD.format(
        r"do[ _-]?not[ _-]?(?:populate|fit|place|stuff|mount|install|assemble|solder|load)"
        r"|not[ _-](?:fitted|populated|placed|mounted|installed|assembled|stuffed|used)"
        r"|no[ _-]?(?:pop|stuff|fit|mount|load)|un(?:populated|fitted|stuffed)"
        r"|dn[pfismlu]"
    )
)
_UNFITTED_SHORT = re.compile(_WORD.format(r"n/?[fma]|n\.[fma]\.?"))
_ENDS_IN_NUMBER = re.compile(r"(?:^|[^\w.,])[\d.,]+\s*$")


@dataclass(frozen=True, slots=True)
class PartValue:
    """What the text of a value says, in SI units.

    ``si`` is the nominal value (a range of no width), in ohms, farads, henries, hertz or, for
    fuses and LEDs, amperes; ``tolerance`` is a fraction beside it. ``doubtful`` holds the other
    values the text may mean ("10" on a capacitor). ``load_f`` is the load a crystal was cut for,
    ``package`` an imperial chip code, ``dielectric`` C0G or a class 2 code.
    """

    si: Range
    tolerance: float | None = None
    voltage_v: float | None = None
    current_a: float | None = None
    dielectric: str | None = None
    package: str | None = None
    load_f: float | None = None
    doubtful: tuple[float, ...] = ()
    unfitted: bool = False

    @property
    def nominal(self) -> float:
        """The nominal value in SI units."""
        return self.si.middle

    @property
    def possible(self) -> Range:
        """The nominal value joined with every doubtful reading."""
        whole = self.si
        for value in self.doubtful:
            whole = whole.joined(value)
        return whole


def read_value(text: str, kind: str) -> PartValue | None:
    """The value a text states for a part of that kind (``KINDS``); None when it states none.

    Raises:
        KeyError: not a known kind.
    """
    written, bare = WRITTEN[kind], BARE[kind]
    tokens = _tokens(text, kind)
    chosen = _first(tokens, written) or _first(tokens, bare)
    if chosen is None:
        return None
    place, (readings, letter) = chosen
    nominal = readings[0]
    rest = tokens[:place] + tokens[place + 1 :]
    tolerance = (_LETTER_TOLERANCE | _CLOSE).get(letter) or _tolerance(rest, nominal, kind)
    return PartValue(
        si=Range.of(nominal),
        tolerance=tolerance,
        voltage_v=_volts(rest),
        current_a=None if kind in ("fuse", "led") else _amperes(rest),
        dielectric=_dielectric(rest) if kind == "capacitor" else None,
        package=next((size for token in rest if (size := _package(token))), None),
        load_f=_load(rest) if kind in ("crystal", "resonator") else None,
        doubtful=readings[1:],
        unfitted=unfitted_text(text),
    )


def same_value(a: PartValue, b: PartValue) -> bool:
    """Whether two texts state the same nominal value (1e-6 of it), and crystals the same load where
    both state one."""
    if a.load_f is not None and b.load_f is not None and not _close(a.load_f, b.load_f):
        return False
    return _close(a.nominal, b.nominal)


def unfitted_text(text: str) -> bool:
    """Whether a value or comment says that the part is not fitted: "DNP", "10k DNP", "N/M"."""
    folded = " ".join(text.casefold().split())
    if folded in ("na", "n/a", "nc", "n.c."):
        return True
    if _UNFITTED.search(folded):
        return True
    # "100 NF" is a capacitance and "625 nm" a colour.
    found = _UNFITTED_SHORT.finditer(folded)
    return any(not _ENDS_IN_NUMBER.search(folded, 0, match.start()) for match in found)


def _close(a: float, b: float) -> bool:
    return math.isclose(a, b, rel_tol=1e-6)


def _tokens(text: str, kind: str) -> list[str]:
    if len(text) > 200:
        return []
    plain = _SPREAD.sub(" ±", text).translate(_SPELLING)
    plain = _POWER.sub(" ", _COMMA.sub(r"\1.\2", plain))
    plain = _CONDITION.sub(" ", plain)
    plain = _GAP.sub(r"\1", plain)
    tokens: list[str] = []
    for token in _SPLIT.split(plain):
        pieces = [piece for piece in token.split("-") if piece]
        # A dash joins "10k-1%" but also the pieces of an order code: only the first kind is split.
        split = len(pieces) > 1 and WRITTEN[kind](pieces[0]) is not None
        tokens.extend(pieces if split else [token] if token else [])
    return tokens


def _first(tokens: list[str], reader: Reader) -> tuple[int, Reading] | None:
    for place, token in enumerate(tokens):
        if _package(token) and (len(tokens) > 1 or not token.isdigit() or token[0] == "0"):
            continue
        found = reader(token)
        if found is not None:
            return place, found
    return None


def _package(token: str) -> str | None:
    return chip_size(token) if _SIZED.fullmatch(token) else None


def _tolerance(tokens: list[str], nominal: float, kind: str) -> float | None:
    stated = [float(m[1]) / 100 for token in tokens if (m := _PERCENT.fullmatch(token))]
    if kind in ("crystal", "resonator"):
        stated += [float(m[1]) * 1e-6 for token in tokens if (m := _PPM.fullmatch(token))]
    if kind == "capacitor":
        found = (m for token in tokens if (m := _ABSOLUTE.fullmatch(token)))
        stated += [float(m[1]) * 1e-12 / nominal for m in found]
    if not stated and kind in ("resistor", "capacitor", "inductor"):
        stated = [_LETTER_TOLERANCE[t] for t in tokens if t in _LETTER_TOLERANCE]
    return float(f"{max(stated):.12g}") if stated else None


def _volts(tokens: list[str]) -> float | None:
    for token in tokens:
        match = _VOLTS.fullmatch(token)
        if match:
            whole = float(match[1]) if match[1] else float(f"{match[3]}.{match[4]}")
            return whole * 1000 if match[2] else whole
    return None


def _amperes(tokens: list[str]) -> float | None:
    found = (m for token in tokens if (m := _AMPERES.fullmatch(token)))
    return next((float(f"{m[1]}e{ {'': 0, 'm': -3, 'u': -6}[m[2]] }") for m in found), None)


def _dielectric(tokens: list[str]) -> str | None:
    for token in tokens:
        if _CLASS_1.fullmatch(token):
            return "C0G"
        if _CLASS_2.fullmatch(token):
            return token.upper()
    return None


def _load(tokens: list[str]) -> float | None:
    for token in tokens:
        match = _PICOFARADS.fullmatch(token.removeprefix("CL=").removeprefix("CL"))
        if match:
            return float(f"{match[1] or f'{match[2]}.{match[3]}'}e-12")
    return None
