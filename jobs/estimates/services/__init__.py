"""Writes of estimates: steps, warnings, pricing anew."""
