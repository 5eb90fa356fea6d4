"""Rules of the domain usb: the socket that feeds and charges the board. One function a rule."""

from __future__ import annotations

from counterpoise.checks._usb_cc import usb_cc_pulldowns

__all__ = ["usb_cc_pulldowns"]
