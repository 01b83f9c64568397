"""Reads of weeks."""
