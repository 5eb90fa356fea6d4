"""Figures worked out beside the rules."""
