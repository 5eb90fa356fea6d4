"""Checks, weighs and compares small battery-powered wireless input boards before they are ordered."""

__version__ = "0.1.0"
