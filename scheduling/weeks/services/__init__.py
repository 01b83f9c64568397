"""Writes of weeks: drafts, moves, posting."""
