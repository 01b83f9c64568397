"""Proves: what every plan costs at least, and the exact choice; reads no file."""
