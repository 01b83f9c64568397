"""Writes about the catalogue, and the conditions that a job gets from it."""
