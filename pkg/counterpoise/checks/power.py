"""Rules of the domain power: cells, chargers, rails, converters. One function a rule."""

from __future__ import annotations

from counterpoise.checks._power_back import primary_cell_charged
from counterpoise.checks._power_cell import (
    cell_connector_polarity,
    cell_needs_charger,
    cell_polarity,
    cell_protection,
    reverse_cell_guard,
)
from counterpoise.checks._power_charge import charge_temperature, charge_voltage
from counterpoise.checks._power_feed import decoupling_present, supply_pin_open
from counterpoise.checks._power_range import cap_voltage_rating, supply_range
from counterpoise.checks._power_set import charge_rate, charge_set_resistor
from counterpoise.checks._power_short import rail_shorted

__all__ = [
    "cap_voltage_rating",
    "cell_connector_polarity",
    "cell_needs_charger",
    "cell_polarity",
    "cell_protection",
    "charge_rate",
    "charge_set_resistor",
    "charge_temperature",
    "charge_voltage",
    "decoupling_present",
    "primary_cell_charged",
    "rail_shorted",
    "reverse_cell_guard",
    "supply_pin_open",
    "supply_range",
]
