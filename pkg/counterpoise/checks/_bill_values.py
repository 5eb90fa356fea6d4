"""Whether two texts name the same value or the same part."""

from __future__ import annotations

import re

from counterpoise.catalog.cards import all_cards, find_card
from counterpoise.model.bom import BomLine
from counterpoise.model.circuit import Part
from counterpoise.values.partvalue import PartValue, read_value, same_value

_WORD = re.compile(r"[a-z0-9]+")
_GENERIC = re.compile(
    r"(?:(?:sw|switch|push|key|spdt|spst|dpdt|conn|connector|crystal|xtal|gnd24|antenna|led|usb|battery"
    r"|cell|encoder|header|plug|socket|ac|type|pin|diode|fuse|holder|receptacle|jst|chip|dual|small)"
    r"[\dx]*)+|[rcldqu]"
)
_YAGEO = re.compile(r"(?:RC|RT|AC|RE)\d{4}[A-Z]{2}-\d{2}(\d*[RKM]\d*)L?")
_THREE = r"([1-9]\d\d|\dR\d|R\d{1,2})"
_CAPACITOR = re.compile(rf"(?<![\d.]){_THREE}([ABCDFGJKMZ])(?=[A-Z0-9-]|$)")
_CAPACITOR_LAST = re.compile(rf"(?:B{{2}}|BN|CN|GN){_THREE}$")
_BELOW_ONE = {"8": -2, "9": -1}
"""Last digits of a three-digit code that stand for a hundredth and a tenth (EIA-198)."""


def folded(text: str) -> str:
    """A text reduced to its letters and digits, lower case."""
    return "".join(_WORD.findall(text.casefold()))


def read(text: str, kind: str | None) -> PartValue | None:
    """The value the text states for a part of that kind; None where it states none."""
    return read_value(text, kind) if kind else None


def numbers_differ(a: PartValue, b: PartValue) -> bool:
    """Whether two values differ in every way either may be read."""
    if same_value(a, b):
        return False
    first = {a.nominal, *a.doubtful}
    second = {b.nominal, *b.doubtful}
    alike = any(abs(x - y) <= 1e-3 * max(abs(x), abs(y)) for x in first for y in second)
    loads = a.load_f is not None and b.load_f is not None and a.load_f != b.load_f
    return loads or not alike


def is_generic(part: Part) -> bool:
    """Whether the circuit's value is only what its symbol is called, or nothing at all."""
    value = folded(part.value)
    if not value or value in (folded(part.symbol), folded(part.ref), folded(part.footprint)):
        return True
    return _GENERIC.fullmatch(value) is not None


def texts_agree(text: str, line: BomLine) -> bool:
    """Whether the circuit's text and the line name one part, as far as texts can tell.

    Either may be the longer: "TP4054" and "TP4054-42-SOT25R" agree, also through the line's order
    code or description.
    """
    ours = folded(text)
    for theirs in map(
        folded, (line.value, line.order_code, line.description, *line.fields.values())
    ):
        if not theirs:
            continue
        if ours == theirs or (
            min(len(ours), len(theirs)) >= 3 and (ours in theirs or theirs in ours)
        ):
            return True
    words = {w for w in _WORD.findall(text.casefold()) if len(w) > 2}
    shared = words & set(_WORD.findall(f"{line.value} {line.description}".casefold()))
    coded = {word for word in words if any(c.isdigit() for c in word)}
    return bool(words) and coded <= shared and len(shared) * 2 >= len(words)


def cards_differ(text: str, line: BomLine) -> bool:
    """Whether both texts are order codes of known parts, of different ones."""
    ours = find_card([text], all_cards())
    theirs = find_card([line.value, line.order_code], all_cards())
    if ours is None or theirs is None:
        return False
    if ours[0].key != theirs[0].key:
        return True
    a, b = ours[0].facts_for(ours[1]), theirs[0].facts_for(theirs[1])
    told = ("output", "charge_voltage")
    return any(k in a and k in b and a[k].value != b[k].value for k in told)


def code_contradicts(code: str, kind: str, value: float) -> str | None:
    """What an order code says of the value, where it plainly says another; None where it agrees or
    says nothing plain.

    Reads the parts of the code that are public standards: letters (IEC 60062) in resistor codes,
    three EIA digits with a tolerance letter in capacitor codes.
    """
    spelt = re.sub(r"\s", "", code.upper())
    found = _resistances(spelt) if kind == "resistor" else _capacitances(spelt)
    if not found:
        return None
    if any(abs(v - value) <= 2e-2 * max(v, value) for v, _ in found):
        return None
    plain = [text for _, text in found]
    return plain[0] if len({v for v, _ in found}) == 1 else None


def _resistances(code: str) -> list[tuple[float, str]]:
    yageo = _YAGEO.fullmatch(code)
    tokens = [yageo[1]] if yageo else []
    found = []
    for token in tokens:
        read_as = read_value(token, "resistor")
        if read_as is not None:
            found.append((read_as.nominal, token))
    return found


def _capacitances(code: str) -> list[tuple[float, str]]:
    found = []
    tokens = [m[1] for m in _CAPACITOR.finditer(code)]
    last = _CAPACITOR_LAST.search(code)
    if last:
        tokens = [last[1]]
    for token in tokens:
        if "R" in token:
            picofarads = float(token.replace("R", "."))
        else:
            picofarads = float(f"{token[:2]}e{_BELOW_ONE.get(token[2], token[2])}")
        if picofarads > 0:
            found.append((picofarads * 1e-12, token))
    return found
