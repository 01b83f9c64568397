"""Shifts the clock of every Python process that a shifted suite starts; see tests/shifted.py."""

import os

if ahead := os.environ.get("TESTS_CLOCK_AHEAD_SECONDS"):
    from tests.shifted import clock_shift

    clock_shift(float(ahead))
