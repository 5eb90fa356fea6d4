"""Rules of the domain usb: the socket that feeds and charges the board. One function a rule."""

from __future__ import annotations

from counterpoise.checks._usb_cc import usb_cc_pulldowns
from counterpoise.checks._usb_data import usb_data_joined, usb_surge_guard
from counterpoise.checks._usb_supply import usb_current, usb_shield, usb_vbus_capacitance

__all__ = [
    "usb_cc_pulldowns",
    "usb_current",
    "usb_data_joined",
    "usb_shield",
    "usb_surge_guard",
    "usb_vbus_capacitance",
]
