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
from counterpoise.checks._power_coil import converter_inductor
from counterpoise.checks._power_convert import boost_overfed, regulator_headroom
from counterpoise.checks._power_feed import decoupling_present
from counterpoise.checks._power_feedback import converter_feedback
from counterpoise.checks._power_needs import card_needs
from counterpoise.checks._power_open import supply_pin_open
from counterpoise.checks._power_peak import cell_peak_current
from counterpoise.checks._power_range import cap_voltage_rating, supply_range
from counterpoise.checks._power_set import charge_rate, charge_set_resistor
from counterpoise.checks._power_short import rail_shorted

__all__ = [
    "boost_overfed",
    "cap_voltage_rating",
    "card_needs",
    "cell_connector_polarity",
    "cell_needs_charger",
    "cell_peak_current",
    "cell_polarity",
    "cell_protection",
    "charge_rate",
    "charge_set_resistor",
    "charge_temperature",
    "charge_voltage",
    "converter_feedback",
    "converter_inductor",
    "decoupling_present",
    "primary_cell_charged",
    "rail_shorted",
    "regulator_headroom",
    "reverse_cell_guard",
    "supply_pin_open",
    "supply_range",
]
