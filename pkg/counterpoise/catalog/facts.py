"""The facts that a card or the manifest may state of a part, and the dimension of each.

One vocabulary for both: whatever a card knows of a part, a person can state of an unknown one.
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
    "back_path": "flag",  # the output can feed the input (body diode)
    "accuracy": "fraction",  # of output, reference or charge voltage
    "dropout_current": "current",  # at which dropout is stated; output_current when absent
    "overfed": "text",  # a step-up converter fed above its output: "passes" it on, or "regulates"
    "when_off": "text",  # a disabled converter: input "passes" to the output, or is cut ("blocks")
    "trip": "voltage",  # sense voltage at which a protector cuts an over-current
    "cut_high": "voltage",  # cell voltage at which a protector stops the charge
    "cut_low": "voltage",  # cell voltage at which a protector stops the discharge
    # charging
    "charge_voltage": "voltage",
    "charge_current": "current",  # what it charges with, where no resistor sets it
    "charge_current_limit": "current",  # the most that the resistor may set
    "set_constant": "voltage",  # charge current times set resistance
    "set_resistance": "resistance",
    "set_required": "flag",  # false: an open pin is a state the datasheet allows (charger off)
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
    "slow_internal_load": "flag",  # the same of the 32 kHz oscillator
    "clock_tolerance": "ppm",  # what the radio or USB allows its clock in all
    "oscillator_pads": "text",  # the pads that carry the resonator: "1 3"
    "crystal_inside": "flag",
    # radio
    "antenna_inside": "flag",
    "limits_led": "flag",
    "antenna_kind": "text",
    "clear_length": "length",
    "clear_width": "length",
    "clear_depth": "length",
    "clear_zone_inside": "flag",
    "metal_distance": "length",  # from the antenna to metal that is not on the board: cell, shell
    "impedance": "resistance",
    "radio_standard": "text",
    # inputs, switches, indicators
    "input_pulls": "text",  # "internal" or "none"
    "pull_resistance": "resistance",  # of the internal pull
    "line_capacitance": "capacitance",  # a clamp's, on each line
    "logic_high": "voltage",  # least level a data input takes for high
    "contact_current": "current",  # the most a contact may carry
    "actuation": "text",  # "top" or "side"
    "pad_order": "text",  # pads from left to right, seen from the part, its plunger up: "1 2 3"
    "joined_pads": "text",  # pads that one terminal joins inside: "1 2, 3 4"
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
        wanted = "a text" if kind == "text" else "a text with a number and its unit"
        raise ValueError(f"expected {wanted}")  # noqa: TRY004  one kind of error for the reader
    return value if kind == "text" else quantity_range(value, kind)
