"""Reads of what crews said."""
