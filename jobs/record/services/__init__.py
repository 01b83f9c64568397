"""Writes of a condition's move, its outcomes and findings."""
