"""Filters for the pages of `scheduling`."""
