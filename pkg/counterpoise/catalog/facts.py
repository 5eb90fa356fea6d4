"""The facts that a card or the manifest may state of a part, and the dimension of each.

One vocabulary for both, so that whatever a card knows of a part a person can state of an unknown one.
"""

from __future__ import annotations

from typing import Any

from counterpoise.catalog.toml import nearest
from counterpoise.values.ranges import Range
from counterpoise.values.units import quantity_range

FACTS: dict[str, str] = {
    # supply and regulation
    "supply": "voltage",
    "absolute_maximum": "voltage",
    "output": "voltage",
    "reference": "voltage",
    "dropout": "voltage",
    "output_current": "current",
    "current": "current",
    "quiescent": "current",
    "peak_current": "current",
    "efficiency": "fraction",
    "topology": "text",
    "back_path": "flag",
    # charging
    "charge_voltage": "voltage",
    "charge_current": "current",
    "set_constant": "voltage",
    "set_resistance": "resistance",
    "set_required": "flag",
    # clock
    "frequency": "frequency",
    "load": "capacitance",
    "tolerance": "ppm",
    "stability": "ppm",
    "ageing": "ppm",
    "esr": "resistance",
    "shunt_capacitance": "capacitance",
    "motional_capacitance": "capacitance",
    "transconductance": "transconductance",
    "pin_capacitance": "capacitance",
    "internal_load": "flag",
    "internal_load_capacitance": "capacitance",
    "oscillator_pads": "text",
    "crystal_inside": "flag",
    # radio
    "antenna_inside": "flag",
    "antenna_kind": "text",
    "clear_length": "length",
    "clear_width": "length",
    "clear_depth": "length",
    "clear_zone_inside": "flag",
    "impedance": "resistance",
    "radio_standard": "text",
    # inputs, switches, indicators
    "input_pulls": "text",
    "actuation": "text",
    "joined_pads": "text",
    "forward": "voltage",
    "polarity": "text",
    # passives
    "value": "text",
    "rated_voltage": "voltage",
    "saturation_current": "current",
    "resistance": "resistance",
    "capacitance": "capacitance",
    "inductance": "inductance",
    # body
    "mass": "mass",
    "height": "length",
    "body": "text",
    "travel_force": "force",
    "leaves_board": "flag",
}


def fact(key: str, value: Any) -> Range | str | bool:
    """One stated fact, checked against its dimension.

    Raises:
        ValueError: an unknown key (names the nearest), or a value of another kind.
    """
    kind = FACTS.get(key)
    if kind is None:
        raise ValueError(f"unknown key{nearest(key, FACTS)}")
    if kind == "flag":
        if not isinstance(value, bool):
            raise ValueError("expected true or false")
        return value
    if not isinstance(value, str):
        raise ValueError(
            "expected a text" + ("" if kind == "text" else " with a number and its unit")
        )
    return value if kind == "text" else quantity_range(value, kind)
