"""Reads of a yard's day."""
