"""Reads of planning runs."""
