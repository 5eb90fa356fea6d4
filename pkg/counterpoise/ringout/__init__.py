"""Meter readings to wiring: what they prove, what contradicts, what to probe next. Pure functions."""
