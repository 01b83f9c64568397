"""Reads of arrivals: the clock of posted days, and what was told."""
