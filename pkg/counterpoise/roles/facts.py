"""A part's facts: stated in the manifest, else on its card, else written in its value text."""

from __future__ import annotations

from collections.abc import Mapping

from counterpoise.catalog.cards import CardFact
from counterpoise.catalog.facts import FACTS
from counterpoise.catalog.vocabulary import ROLES
from counterpoise.model.circuit import Part
from counterpoise.model.facts import Need
from counterpoise.model.manifest import PartFacts
from counterpoise.roles.evidence import Known
from counterpoise.values.partvalue import KINDS, PartValue, read_value
from counterpoise.values.ranges import Range
from counterpoise.values.units import DIMENSIONS

NOMINAL = {
    "resistor": "resistance",
    "resistor-array": "resistance",
    "potentiometer": "resistance",
    "thermistor": "resistance",
    "link": "resistance",
    "ferrite": "resistance",
    "capacitor": "capacitance",
    "inductor": "inductance",
    "crystal": "frequency",
    "resonator": "frequency",
    "oscillator": "frequency",
}
"""The fact that a role's value text states."""

_READ_AS = {
    "potentiometer": "resistor",
    "resistor-array": "resistor",
    "thermistor": "resistor",
    "link": "resistor",
    "oscillator": "resonator",
}
_FURTHER = {"rated_voltage": "voltage_v", "load": "load_f", "current": "current_a"}
_EXAMPLES = {
    "absolute_maximum": "7 V",
    "capacitance": "100 nF",
    "charge_current": "100 mA",
    "charge_voltage": "4.2 V",
    "dropout": "200 mV",
    "esr": "60 ohm",
    "forward": "2.0 V",
    "frequency": "16 MHz",
    "internal_load_capacitance": "6 pF",
    "load": "9 pF",
    "motional_capacitance": "3 fF",
    "output": "3.3 V",
    "output_current": "300 mA",
    "pin_capacitance": "2 pF",
    "quiescent": "2 uA",
    "rated_voltage": "10 V",
    "reference": "0.6 V",
    "set_constant": "1000 V",
    "set_resistance": "2 kohm to 20 kohm",
    "shunt_capacitance": "1.5 pF",
    "supply": "1.8 V to 3.6 V",
    "transconductance": "7.5 mS",
}
"""Values of a likely size; a need shows them as examples, nothing is ever taken from them."""


def read_part_value(text: str, role: str) -> PartValue | None:
    """What a part's value text states for its role; None for nothing, or two possible values."""
    kind = _READ_AS.get(role, role)
    if not text or kind not in KINDS:
        return None
    found = read_value(text, kind)
    return None if found is None or found.unfitted or found.doubtful else found


def need(part: Part, key: str) -> Need:
    """The need for one fact, with the manifest line that states it."""
    kind = FACTS.get(key, "text")
    example = _EXAMPLES.get(key) or (DIMENSIONS[kind][1] if kind in DIMENSIONS else "…")
    if key == "value":
        example = "100nF" if part.ref[:1].upper() == "C" else "10k"
    what = f"the {key.replace('_', ' ')} of {part.ref}"
    return Need(what, stating(part.ref, key, example))


def need_role(ref: str, role: str = "") -> Need:
    """The need to be told what a part is for."""
    said = f" ({ROLES[role]})" if role in ROLES and role != "unknown" else ""
    return Need(f"what {ref} is for", stating(ref, "role", role or "…") + said)


def manifest_line(ref: str, text: str) -> str:
    """Where facts of a part are stated, as every need names it."""
    return f"board.toml: [parts.{key_of(ref)}] {text}"


def stating(ref: str, key: str, example: str) -> str:
    """The manifest line that states one fact of a part."""
    return manifest_line(ref, f'{key} = "{example}"')


def key_of(ref: str) -> str:
    """A ref as a TOML key: bare where that is allowed, else quoted."""
    plain = ref.replace("-", "").replace("_", "")
    if plain.isascii() and plain.isalnum():
        return ref
    return '"' + ref.replace("\\", "\\\\").replace('"', '\\"') + '"'


def numeric(
    part: Part,
    key: str,
    role: str,
    stated: PartFacts | None,
    card: Mapping[str, CardFact],
    text: str,
) -> Known | Need:
    """One numeric fact. ``text`` is the part's value text, or its BOM row's where it has none."""
    told = stated.facts.get(key) if stated is not None else None
    if isinstance(told, Range):
        return Known(told, "board.toml states it")
    if (
        NOMINAL.get(role) == key
        and stated is not None
        and isinstance(stated.facts.get("value"), str)
    ):
        written = read_part_value(str(stated.facts["value"]), role)
        if written is not None:
            return Known(written.si, "board.toml states it")
    carded = card.get(key)
    if carded is not None and isinstance(carded.value, Range):
        return Known(carded.value, carded.source or "its card", not carded.memory)
    return _from_text(part, key, role, text)


def _from_text(part: Part, key: str, role: str, text: str) -> Known | Need:
    written = read_part_value(text, role)
    if written is not None:
        if NOMINAL.get(role) == key:
            return Known(written.si, f"its value {text}")
        further = getattr(written, _FURTHER.get(key, ""), None)
        if isinstance(further, float):
            return Known(Range.of(further), f"its value {text}")
        if key == "tolerance" and written.tolerance is not None:
            return Known(Range.of(written.tolerance * 1e6), f"its value {text}")
    return need(part, key)
