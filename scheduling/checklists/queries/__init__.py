"""Reads of checklists and digests."""
