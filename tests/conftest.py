"""Hypothesis profiles: quick and repeatable by default, long in ./dev slow."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

settings.register_profile(
    "quick",
    derandomize=True,
    max_examples=50,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile(
    "long", max_examples=2000, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "quick"))
